//! What a production makes.

use crate::venue::file::ProductionTable;
use crate::venue::problem::Problems;
use crate::venue::production::{Output, Production};

/// The production that the file states; `None` where it states none or one with mistakes.
pub(super) fn production(
    table: Option<&ProductionTable>,
    problems: &mut Problems,
) -> Option<Production> {
    let table = table?;
    let listed = |outputs: &[Output]| {
        let words: Vec<String> = outputs.iter().map(|o| format!("\"{}\"", o.word())).collect();
        format!("[{}]", words.join(", "))
    };
    let makes = &table.makes;
    let twice =
        makes.iter().enumerate().any(|(i, output)| makes.iter().take(i).any(|o| o == output));
    if makes.is_empty() || twice {
        problems.add(
            "production.makes",
            listed(makes),
            "one or more of \"sdr\", \"hlg\" and \"pq\", each once",
        );
        return None;
    }
    let shades_on = table.shades_on.or(makes.first().copied())?;
    if !makes.contains(&shades_on) {
        problems.add(
            "production.shades_on",
            format!("\"{}\", which is not made", shades_on.word()),
            format!("one of makes, {}", listed(makes)),
        );
    }
    let both = makes.contains(&Output::Sdr) && makes.len() > 1;
    if table.sdr_from.is_some() && !both {
        problems.add_with_help(
            "production.sdr_from",
            format!("a way from HDR to SDR beside makes = {}", listed(makes)),
            "this key only where SDR and HDR are made",
            "add the other signal to makes, or leave sdr_from out",
        );
    }
    Some(Production {
        makes: makes.clone(),
        shades_on,
        sdr_from: table.sdr_from.unwrap_or_default(),
    })
}
