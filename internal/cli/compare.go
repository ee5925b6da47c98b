package cli

import (
	"path/filepath"

	"github.com/spf13/cobra"

	"floorpace/internal/record"
)

func newCompare(env *Env) *cobra.Command {
	return &cobra.Command{
		Use:   "compare LOG LOG...",
		Short: "Put days side by side: pace, holds, slack, yield, calls",
		Long: `compare prints days side by side, one column a day: pace, holds by cause, least
slack of the wet edge, kits opened, used, scrapped and left, and calls. Figures
are in the first day's units; those of several zones stand in order, parted by /.`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			days, err := readAll(env, args, nil)
			if err != nil {
				return err
			}
			var names []string
			var papers []*record.Paper
			for _, d := range days {
				q, err := d.paper(env.wall())
				if err != nil {
					return err
				}
				names, papers = append(names, filepath.Base(d.path)), append(papers, q)
			}
			if err := record.Compare(env.Out, names, papers); err != nil {
				return fail(ExitFailed, "%v", err)
			}
			return nil
		},
	}
}
