//! What only the author's copy says: how each size was proven, what was found and left, where each gauge comes from.

use latchwork_machine::steps::Action;

use super::sheet::Sheet;
use crate::notice::{Level, Notice};
use crate::wording::say;

impl Sheet<'_> {
    pub(super) fn for_author(&self, found: &[(Option<usize>, Notice)]) -> Vec<(String, String)> {
        let t = self.design.show.language;
        let mut all = Vec::new();
        for s in &self.sizes {
            let steps = || s.plans.pieces.iter().flat_map(|p| &p.plan.steps);
            let rows = steps().filter(|s| matches!(s.action, Action::Pass(_))).count();
            let loops: usize = s.pieces.iter().map(|p| p.run.loops.len()).sum();
            all.push((
                say!(t, "Size {name}", name = self.design.sizes[s.size].name),
                say!(
                    t,
                    "{steps} steps, {rows} rows and {loops} loops rehearsed. Every loop is secured. The printed words were read back and match the plan.",
                    steps = steps().count(),
                    rows,
                    loops
                ),
            ));
        }
        let own = say!(t, "this document");
        for g in self.gauges() {
            let from: Vec<&str> = self
                .design
                .swatches
                .iter()
                .filter(|s| s.fabric == g.fabric && s.yarn == g.yarn)
                .map(|s| if s.from.is_empty() { own.as_str() } else { s.from.as_str() })
                .collect();
            let mut books = from.clone();
            books.dedup();
            all.push((
                say!(t, "Gauge of {name}", name = g.fabric.name),
                say!(
                    t,
                    "{swatches} from {books}.",
                    swatches =
                        if from.len() == 1 { say!(t, "1 swatch") } else { say!(t, "{n} swatches", n = from.len()) },
                    books = books.join(", ")
                ),
            ));
        }
        // Findings on the printed sizes, and on all of them.
        let printed = |size: Option<usize>| size.is_none_or(|of| self.sizes.iter().any(|s| s.size == of));
        let of_these = found.iter().filter(|f| printed(f.0)).map(|f| &f.1);
        let open: Vec<&Notice> = of_these.filter(|n| n.level != Level::Note).collect();
        if open.is_empty() {
            all.push((say!(t, "Findings"), say!(t, "None left open.")));
        }
        for n in open {
            let told = n.told(t);
            let hints = told.hints.iter().map(|h| say!(t, " Try: {hint}.", hint = h.trim_end_matches('.')));
            let hints: String = hints.collect();
            let why = if told.why.is_empty() { String::new() } else { format!(" {}", told.why) };
            all.push((say!(t, "Found"), format!("{}{why}{hints}", told.message)));
        }
        all
    }
}
