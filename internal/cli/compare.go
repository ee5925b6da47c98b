package cli

import (
	"github.com/spf13/cobra"

	"floorpace/internal/record"
)

func newCompare(env *Env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "compare LOG LOG...",
		Short: "Put days side by side: pace, holds, slack, yield, calls",
		Long: `compare prints days side by side, one column a day: pace, holds by cause, least
slack of the wet edge, kits opened, used, scrapped and left, and calls. Figures
are in the first day's units; those of several zones stand in order, parted by /.
As many days stand beside each other as fit into eighty columns.`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			days, err := readAll(env, args, nil)
			if err != nil {
				return err
			}
			if len(days) < 2 {
				return fail(ExitUsage, "these are all files of one day, %s: name the logs of two days or more", dayWords(days[0]))
			}
			var names []string
			var papers []*record.Paper
			for _, d := range days {
				q, err := d.paper(env.wall())
				if err != nil {
					return err
				}
				names, papers = append(names, d.path), append(papers, q)
			}
			q, err := record.CompareDays(names, papers)
			if err != nil {
				return fail(ExitUsage, "%v", err)
			}
			if asJSON {
				err = printJSON(env.Out, q)
			} else {
				err = q.Write(env.Out)
			}
			if err != nil {
				return fail(ExitFailed, "%v", err)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words (SI units)")
	return c
}

// dayWords names a day by its log.
func dayWords(d *pouredDay) string { return d.log.Day + " (" + d.path + ")" }
