//! On what was found: the fact, what stands behind it, and what it rests on.

use crate::ide::{Snapshot, words::text};

/// The findings under the cursor that say more than their message: why, and the law, the publication or the practice that they rest on.
pub(super) fn behind(s: &Snapshot, line: u32, byte: u32) -> String {
    let mut out = String::new();
    let here =
        |f: &&crate::rules::Finding| f.place.line == line && f.place.span.contains(byte as usize);
    for f in s.findings().iter().filter(here) {
        if f.why.is_none() && f.basis.is_none() {
            continue;
        }
        out.push_str(&format!("**{}**\n", text(&f.message)));
        if let Some(why) = &f.why {
            out.push_str(&format!("- **Why:** {}\n", text(why)));
        }
        if let Some(b) = &f.basis {
            out.push_str(&format!(
                "- **Basis:** {}: {}\n",
                b.kind_name(),
                text(&b.source)
            ));
        }
    }
    out
}
