package tui

import "strings"

func init() {
	plainProbes["last lots"] = func(w *wrong) any { return w.view.Batches[len(w.view.Batches)-1].Lots }
	plainProbes["holds"] = func(w *wrong) any { return float64(len(w.view.Holds)) }
	plainProbes["caution"] = func(w *wrong) any { return w.view.Stopped.Caution }
	plainProbes["next panel"] = func(w *wrong) any {
		var out []string
		for _, p := range w.view.Lots.Panels {
			if p.Next {
				out = append(out, p.Name)
			}
		}
		return strings.Join(out, " ")
	}
}
