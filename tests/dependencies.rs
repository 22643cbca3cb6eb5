//! What the packages that we build on allow, as their manifests say it. Advisories need a
//! list from the network and are looked at before a release, see DEVELOPERS.md.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;
use spdx::{Expression, ParseMode};

/// Licences that ask for nothing but their own text (SPDX identifiers).
const ALLOWED: [&str; 14] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    // the list of certificate authorities, for tests that drive a browser
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "bzip2-1.0.6",
];
/// Packages that carry a file in place of an identifier; both are read: Apache-2.0, MIT.
const BY_FILE: [&str; 2] = ["ical", "auto_generate_cdp"];

/// Packages that are built in twice, and who holds on to the older one.
const TWICE: [(&str, &str); 7] = [
    ("getrandom", "ahash, of jsonschema"),
    ("hashbrown", "spade"),
    ("miniz_oxide", "png"),
    ("num-bigint", "fraction, of jsonschema"),
    ("roxmltree", "fontconfig-parser, of krilla-svg"),
    ("rustc-hash", "contour"),
    ("thiserror", "spa"),
];

fn host() -> String {
    let told = Command::new("rustc").arg("-vV").output().unwrap().stdout;
    let told = String::from_utf8(told).unwrap();
    told.lines().find_map(|line| line.strip_prefix("host: ")).unwrap().to_owned()
}

fn metadata() -> Value {
    let words = ["metadata", "--format-version", "1", "--locked", "--offline"];
    let output = Command::new(env!("CARGO"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(words)
        .args(["--filter-platform", &host()])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Names and versions of what is built into the program, macros and build scripts left out.
fn built_in() -> BTreeSet<(String, String)> {
    let words = ["tree", "--locked", "--offline", "--package", "quarterstop"];
    let output = Command::new(env!("CARGO"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(words)
        .args(["--edges", "normal,no-proc-macro", "--prefix", "none", "--format", "{p}"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let told = String::from_utf8(output.stdout).unwrap();
    let package = |line: &str| {
        let mut words = line.split_whitespace();
        Some((words.next()?.to_owned(), words.next()?.to_owned()))
    };
    told.lines().filter_map(package).collect()
}

/// Two versions of a package are twice the code and do not know each other's types: none
/// but those that packages of others still hold apart.
#[test]
fn no_package_is_built_in_twice_without_a_known_reason() {
    let built_in = built_in();
    assert!(built_in.len() > 50, "{} packages", built_in.len());
    let names: Vec<&String> = built_in.iter().map(|(name, _)| name).collect();
    let twice: BTreeSet<&str> =
        names.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0].as_str()).collect();
    let known: BTreeSet<&str> = TWICE.iter().map(|(name, _)| *name).collect();
    assert_eq!(twice, known, "a reason that is gone, or a package that needs one");
}

#[test]
fn every_package_may_be_used_and_passed_on() {
    let told = metadata();
    let packages = told["packages"].as_array().unwrap();
    assert!(packages.len() > 100, "{} packages", packages.len());
    for package in packages {
        let name = package["name"].as_str().unwrap();
        let Some(licence) = package["license"].as_str() else {
            assert!(BY_FILE.contains(&name) && package["license_file"].is_string(), "{name}");
            continue;
        };
        let expression = Expression::parse_mode(licence, ParseMode::LAX).unwrap();
        let allowed = |id: &str| ALLOWED.contains(&id);
        let fits = expression
            .evaluate(|wanted| wanted.license.id().is_some_and(|licence| allowed(licence.name)));
        assert!(fits, "{name}: {licence}");
        // from the registry, not from somebody's branch
        let source = package["source"].as_str();
        let ours = ["quarterstop", "quarterstop-browser"].contains(&name);
        assert!(ours || source.unwrap().starts_with("registry+"), "{name}");
    }
}
