// Command floorpace paces the pour day of a fast-setting floor.
package main

import (
	"context"
	"os"

	"floorpace/internal/cli"
)

func main() { os.Exit(cli.Run(context.Background(), cli.System(os.Args[1:]))) }
