//! What the live page and the board of the brief draw with: one source for both.
//!
//! In: modules of JavaScript and colours, in this folder. Out: the files as they are for the
//! live page, which loads modules; and for the board, which is one file without any
//! reference, the same modules as one script.

use std::fmt::Write;

/// Names and texts. A module stands after those that it imports.
pub const FILES: &[(&str, &str)] = &[
    ("colours.css", COLOURS),
    ("paint.js", include_str!("paint.js")),
    ("plan.js", include_str!("plan.js")),
    ("chart.js", include_str!("chart.js")),
    ("words.js", include_str!("words.js")),
];

/// Colours by day and by night.
pub const COLOURS: &str = include_str!("colours.css");

/// The modules as one classic script: each in a scope of its own, with what it exports
/// outside of it.
pub fn script() -> String {
    let modules = FILES.iter().filter(|(name, _)| name.ends_with(".js"));
    modules.map(|(_, text)| scoped(text)).collect()
}

fn scoped(module: &str) -> String {
    let (mut names, mut body) = (Vec::new(), String::new());
    for line in module.lines().filter(|line| !line.starts_with("import ")) {
        let plain = line.strip_prefix("export ");
        if let Some(declared) = plain {
            let name = declared.split([' ', '(']).nth(1).unwrap_or_default();
            names.push(name);
        }
        body.push_str(plain.unwrap_or(line));
        body.push('\n');
    }
    let names = names.join(", ");
    let mut script = String::new();
    // writing to a String cannot fail
    let _ =
        write!(script, "const {{ {names} }} = (() => {{\n{body}return {{ {names} }};\n}})();\n");
    script
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_module_becomes_a_scope_with_its_exports() {
        let module = "import { a } from \"./a.js\";\nconst B = 1;\nexport const C = 2;\n\
            export function d(x) {\n  return x + B;\n}\n";
        let script = scoped(module);
        assert!(script.starts_with("const { C, d } = (() => {\nconst B = 1;\nconst C = 2;\n"));
        assert!(script.ends_with("return { C, d };\n})();\n"), "{script}");
        assert!(!script.contains("import") && !script.contains("export"));
    }

    #[test]
    fn all_files_of_the_folder_are_listed() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/output/front");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name != "mod.rs")
            .collect();
        there.sort();
        let mut listed: Vec<&str> = FILES.iter().map(|(name, _)| *name).collect();
        listed.sort_unstable();
        assert_eq!(there, listed);
    }
}
