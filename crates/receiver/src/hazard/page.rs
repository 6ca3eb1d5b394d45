//! The manual's page of dangers, written from the table so that both always agree.
//!
//! Markdown text; no units of its own. Cannot fail.

use std::fmt::Write as _;

use super::signs::{PULL_THE_PLUG_FIRST, STOP_SIGNS, USUAL_STORED_CHARGE, USUAL_WHILE_ENERGISED};
use super::table::{HandledBy, HazardTable, Standing};

impl HazardTable {
    /// The page `docs/manual/hazards.md`.
    #[must_use]
    pub fn manual_page(&self) -> String {
        let mut page = String::from(
            "# Dangers of the work\n\n\
             A television set of this time can kill, also with the plug out. Every piece of advice\n\
             passes the rules below before it is shown; advice that breaks one is not given. The\n\
             page is made from `data/hazards.csv`. It is not authoritative: each entry says where\n\
             it comes from and how good that is. Local codes come first.\n\n\
             ## While the plug is in\n\n",
        );
        list(&mut page, USUAL_WHILE_ENERGISED);
        page.push_str("\n## When the plug is out\n\n");
        list(&mut page, USUAL_STORED_CHARGE);
        let _ = write!(page, "\n## Stop signs\n\n{PULL_THE_PLUG_FIRST}\n\n");
        let signs: Vec<&str> = STOP_SIGNS.iter().map(|sign| sign.text).collect();
        list(&mut page, &signs);
        page.push_str("\n## Each danger\n");
        for row in self.hazards() {
            let _ = write!(
                page,
                "\n### {} (`{}`)\n\n{}\n\n",
                row.hazard, row.id, row.caution
            );
            let never = match row.handled_by {
                HandledBy::Rule => "Never advised",
                HandledBy::Caution => "Avoid (a caution, no rule can see it)",
            };
            let standing = match row.standing {
                Standing::Read => "read",
                Standing::CommonPractice => "common practice",
                Standing::Memory => "from memory",
                Standing::Mixed => "mixed",
            };
            let source = if row.source.contains(standing) {
                row.source.clone()
            } else {
                format!("{} ({standing})", row.source)
            };
            for (name, text) in [
                ("Where", &row.place),
                ("When", &row.present_when),
                (never, &row.never_advise),
                ("Instead", &row.safe_way),
                ("Figure", &row.figure),
                ("Source", &source),
            ] {
                let stop = if text.ends_with('.') { "" } else { "." };
                if !text.is_empty() {
                    let _ = writeln!(page, "- {name}: {text}{stop}");
                }
            }
        }
        page
    }
}

fn list(page: &mut String, lines: &[&str]) {
    for line in lines {
        let _ = writeln!(page, "- {line}");
    }
}
