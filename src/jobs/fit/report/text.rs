//! A fit in words: what was found, how sure that is, what looks wrong, what to do
//! next.

use std::fmt::Write;
use std::path::Path;

use crate::jobs::fit::seen::Errors;
use crate::jobs::fit::{Fit, FitVerdict, Found, Intervals, Judged, Move};
use crate::output::cautions::RECCE;
use crate::output::text::{Ink, fit as cut, listed, wrapped};
use crate::output::words::counted;
use crate::venue::Unit;

/// The whole report.
pub fn text(fit: &Fit, ink: Ink) -> String {
    let parts = [
        heading(fit, ink),
        unknowns(fit, ink),
        doubts(fit, ink),
        observations(fit, ink),
        left_out(fit, ink),
        next(fit, ink),
        listed(&RECCE, ink),
    ];
    let told: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
    told.join("\n")
}

/// What was written where.
pub fn written(path: &Path, count: usize, all: usize, ink: Ink) -> String {
    let what = match count {
        1 => "1 number".to_owned(),
        _ => format!("{count} numbers"),
    };
    let rest = match all - count {
        0 => String::new(),
        kept => format!("; {kept} not of the file or not told, left as they were"),
    };
    format!(
        "{} {}: {what} with [[surveyed]] entries{rest}\n",
        ink.heading("Written to"),
        path.display()
    )
}

/// What to look at where a fit is in doubt: what a slip or the fit itself names, else
/// everything.
pub fn look_at(fit: &Fit) -> String {
    if let Some(slip) = fit.explanations.first() {
        return format!("what a slip would explain: {}", slip.what);
    }
    if let Some(suspect) = &fit.suspect {
        return suspect.label.clone();
    }
    let out = fit.left_out.iter().filter(|l| l.contradicts);
    let out: Vec<&str> = out.map(|l| l.label.as_str()).collect();
    match out.is_empty() {
        true => "the times, places and thrown_by of all observations".to_owned(),
        false => out.join("; "),
    }
}

fn heading(fit: &Fit, ink: Ink) -> String {
    let title = ink.heading(&cut(&fit.venue, 80));
    let count = fit.observations.iter().filter(|o| !o.key.starts_with("unknown")).count();
    let (seen, asked) = (plural(count, "observation"), plural(fit.unknowns.len(), "unknown"));
    let priors = fit.observations.len() - count;
    let priors = match priors {
        0 => String::new(),
        n => format!(" and {} of the file's own", plural(n, "number")),
    };
    let errors = match (fit.errors, fit.intervals) {
        (Errors::AsStated, _) => {
            "Standard errors are those stated; 95 % intervals from the normal distribution."
                .to_owned()
        }
        (Errors::Relative, Intervals::StudentT) => format!(
            "Stated errors count as relative and came out {:.2} times as large; 95 % intervals \
             from Student's t with {} degrees of freedom.",
            fit.noise_scale, fit.degrees_of_freedom
        ),
        (Errors::Relative, Intervals::Normal) => {
            "Stated errors were to be found, but nothing is left over to find them from: they \
             are taken as stated, 95 % intervals from the normal distribution."
                .to_owned()
        }
    };
    format!("{title}\n") + &wrapped("", &format!("{asked} fitted to {seen}{priors}. {errors}"))
}

fn plural(count: usize, what: &str) -> String {
    counted(count, what, &format!("{what}s"))
}

fn unknowns(fit: &Fit, ink: Ink) -> String {
    let mut text = ink.heading("Found");
    text.push('\n');
    for found in &fit.unknowns {
        let _ = writeln!(text, "  {}", cut(&found.name, 78));
        text += &wrapped("      ", &value(found));
    }
    text
}

fn value(found: &Found) -> String {
    let unit = found.unit;
    let start = number(found.start, places(found.standard_error.unwrap_or(0.01)));
    let limit = match found.at_limit {
        true => "; the search stopped at this limit, so its error holds on one side at most",
        false => "",
    };
    match (found.standard_error, found.interval_95) {
        (Some(error), Some([low, high])) => {
            let p = places(error);
            format!(
                "{} +- {}, 95 % from {} to {} (started from {start}){limit}",
                with_unit(found.value, p, unit),
                with_unit(error, p, unit),
                number(low, p),
                with_unit(high, p, unit),
            )
        }
        _ => format!("cannot be found from these observations (started from {start}){limit}"),
    }
}

/// Decimals that leave two figures of an error.
fn places(error: f64) -> usize {
    let size = error.max(1e-6).log10().floor();
    (1.0 - size).clamp(0.0, 6.0) as usize
}

fn number(value: f64, places: usize) -> String {
    let told = format!("{value:.places$}");
    // no minus before nothing
    match told.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => told,
    }
}

fn with_unit(value: f64, places: usize, unit: Unit) -> String {
    format!("{} {}", number(value, places), unit.symbol()).trim_end().to_owned()
}

/// Everything that says how far to trust it.
fn doubts(fit: &Fit, ink: Ink) -> String {
    let mut text = ink.heading("How far to trust it");
    text.push('\n');
    text += &wrapped("  ", &verdict(fit));
    if !fit.settled {
        text += &wrapped(
            "  ",
            "The search did not converge: edges are thrown now by one thing, now by another. \
             State thrown_by and beyond for each edge, or start nearer.",
        );
    }
    for odd in &fit.implausible {
        let value = with_unit(odd.value, 2, odd.unit);
        text += &wrapped("  ", &format!("Not plausible: {} {value}; {}.", odd.name, odd.why));
    }
    for moves in &fit.blind {
        text += &wrapped("  ", &blind(moves));
    }
    for pair in &fit.entangled {
        text += &wrapped(
            "  ",
            &format!(
                "{} and {} are strongly correlated ({:.3}): the observations hardly tell \
                 them apart.",
                pair.first, pair.second, pair.correlation
            ),
        );
    }
    text += &correlated(fit);
    text += &suspect(fit);
    text += &explanations(fit);
    text
}

/// Unknowns whose errors go together, short of what is reported as strongly correlated.
fn correlated(fit: &Fit) -> String {
    const WORTH_SAYING: f64 = 0.5;
    let mut pairs = Vec::new();
    for (i, row) in fit.correlations.iter().enumerate() {
        for (j, r) in row.iter().enumerate().take(i) {
            let (a, b) = (&fit.unknowns[j].name, &fit.unknowns[i].name);
            let told = fit.entangled.iter().any(|p| p.first == *a && p.second == *b);
            if r.abs() >= WORTH_SAYING && !told {
                pairs.push(format!("{a} with {b} {r:+.2}"));
            }
        }
    }
    match pairs.is_empty() {
        true => String::new(),
        false => wrapped("  ", &format!("Errors go together (correlation): {}.", pairs.join("; "))),
    }
}

fn verdict(fit: &Fit) -> String {
    let figures = || {
        let chance = fit.chance.map_or(String::new(), |p| format!(", chance {}", share(p)));
        format!(
            "chi-square {:.1} for {} degrees of freedom{chance}",
            fit.chi_square, fit.degrees_of_freedom
        )
    };
    match fit.verdict {
        FitVerdict::Agree => {
            format!("The observations agree as well as their errors say ({}).", figures())
        }
        FitVerdict::TooFarOff => format!(
            "The observations disagree more than their errors allow ({}): one is wrong, errors \
             are larger than stated, or the ground is not as the file draws it. The errors \
             above are too small.",
            figures()
        ),
        FitVerdict::TooNear => format!(
            "The observations agree better than their errors say ({}): the errors are stated \
             too large, or the readings depend on each other.",
            figures()
        ),
        FitVerdict::Unchecked => "There are no more observations than unknowns: nothing checks \
             them, and a slip would not be noticed."
            .to_owned(),
        FitVerdict::NotAsked => "Errors were found from the observations themselves, so these \
             cannot be judged by them."
            .to_owned(),
    }
}

fn share(p: f64) -> String {
    match p {
        p if p < 1e-4 => "under 0.01 %".to_owned(),
        p if p < 0.01 => format!("{:.2} %", 100.0 * p),
        p => format!("{:.0} %", 100.0 * p),
    }
}

fn blind(moves: &[Move]) -> String {
    match moves {
        [one] => format!("No observation says anything about {}.", one.name),
        many => {
            let parts: Vec<String> = many
                .iter()
                .map(|m| {
                    let sign = if m.by > 0.0 { "+" } else { "" };
                    format!("{} by {sign}{}", m.name, with_unit(m.by, 2, m.unit))
                })
                .collect();
            format!(
                "These are not separable by the observations: {} changes none of them.",
                parts.join(" with ")
            )
        }
    }
}

fn suspect(fit: &Fit) -> String {
    let Some(suspect) = &fit.suspect else { return String::new() };
    let mut text = wrapped(
        "  ",
        &format!(
            "Looks wrong: {}. It lies {:.1} standard errors out; the chance of one such among \
             all is {}.",
            suspect.label,
            suspect.studentised.abs(),
            share(suspect.chance)
        ),
    );
    if let Some(without) = &suspect.without {
        text += &wrapped("  ", &format!("Without it: {}.", values(fit, without)));
    }
    text
}

/// Slips that would explain what does not fit.
fn explanations(fit: &Fit) -> String {
    let mut text = String::new();
    for (i, slip) in fit.explanations.iter().enumerate() {
        let alone = fit.rests_on_one.as_ref();
        let head = match (i, alone) {
            (0, Some(unknown)) => {
                format!("{unknown} rests on one observation; it would fit as well read otherwise")
            }
            (0, None) => "A slip would explain it".to_owned(),
            _ => "So would".to_owned(),
        };
        let chance = slip.chance.map_or(String::new(), |p| format!(", chance {}", share(p)));
        let values = values(fit, &slip.unknowns);
        let without = match slip.without.as_slice() {
            [] => String::new(),
            out => format!(" Left out besides: {}.", out.join("; ")),
        };
        let what = &slip.what;
        let chi = slip.chi_square;
        text += &wrapped(
            "  ",
            &format!("{head}: {what}. Then chi-square {chi:.1}{chance}; {values}.{without}"),
        );
    }
    text
}

/// The unknowns with other numbers.
fn values(fit: &Fit, numbers: &[f64]) -> String {
    let values = fit.unknowns.iter().zip(numbers).map(|(found, value)| {
        let p = places(found.standard_error.unwrap_or(0.01));
        format!("{} {}", found.name, with_unit(*value, p, found.unit))
    });
    values.collect::<Vec<_>>().join(", ")
}

fn observations(fit: &Fit, ink: Ink) -> String {
    let title = "Residual (observed - fitted)";
    let mut text = ink.heading(&format!("{title:<50}{:>20}{:>10}", "", "in errors"));
    text.push('\n');
    for o in &fit.observations {
        let _ = writeln!(text, "  {:<48}{:>20}{:>10}", cut(&o.label, 47), off(o), in_errors(o));
    }
    text + &wrapped(
        "  ",
        "Each with its standard error, place and time together; passages in seconds observed too \
         late. In errors: the residual over its own standard error after the fit; - where no \
         other observation checks it.",
    )
}

fn off(o: &Judged) -> String {
    let p = places(o.error).min(2);
    let sign = if o.residual > 0.0 { "+" } else { "" };
    let off = number(o.residual, p);
    let sign = if off.starts_with('-') { "" } else { sign };
    format!("{sign}{off} +- {}", with_unit(o.error, p, o.unit))
}

fn in_errors(o: &Judged) -> String {
    o.studentised.map_or("-".to_owned(), |s| format!("{s:+.1}"))
}

fn left_out(fit: &Fit, ink: Ink) -> String {
    if fit.left_out.is_empty() {
        return String::new();
    }
    let mut text = ink.heading("Left out");
    text.push('\n');
    for one in &fit.left_out {
        text += &wrapped("  ", &format!("{}: {}", one.label, one.why));
    }
    text
}

fn next(fit: &Fit, ink: Ink) -> String {
    let Some(first) = fit.next.first() else { return String::new() };
    let mut text = ink.heading("What would help most");
    text.push('\n');
    let now = first.error_now.map_or("which cannot be told yet".to_owned(), |e| {
        format!("+- {} now", with_unit(e, places(e), first.unit))
    });
    text += &wrapped("  ", &format!("For {}, {now}:", first.unknown));
    for advice in &fit.next {
        let then = with_unit(advice.error_then, places(advice.error_then), advice.unit);
        let told = wrapped("    ", &format!("{}: then +- {then}", advice.what));
        let _ = writeln!(text, "  * {}", told.trim());
    }
    text + &wrapped(
        "  ",
        "This trusts the file for everything that is not unknown, and looks only at what the \
         unknowns and observations are about.",
    )
}
