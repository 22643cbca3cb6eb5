//! A venue file as a text that can be changed: addresses, dimensions, comments
//! kept, provenance. What a text says after a change is held against the ordinary
//! reader; there is no outside source for our own keys.

use std::path::Path;

use proptest::prelude::*;
use quarterstop::venue::{Address, Draft, DraftError, How, Surveyed, Unit, parse};

const DEMO: &str = include_str!("../venues/football-demo.toml");

fn demo() -> Draft {
    Draft::parse(DEMO, "demo.toml").unwrap()
}

fn address(text: &str) -> Address {
    text.parse().unwrap()
}

fn line_of(text: &str, piece: &str) -> usize {
    1 + text[..text.find(piece).unwrap()].matches('\n').count()
}

#[test]
fn every_length_and_angle_of_the_ground_is_listed_with_unit_and_line() {
    let draft = demo();
    let all = draft.dimensions();
    let one = |text: &str| {
        let found = all.iter().find(|d| d.address == address(text));
        found.unwrap_or_else(|| panic!("{text}")).clone()
    };
    let roof = one(r#"stand."Mill Stand".roof.front_height_m"#);
    assert_eq!((roof.value, roof.unit, roof.limits), (19.0, Unit::Metre, (0.0, 200.0)));
    assert_eq!(roof.line, Some(line_of(DEMO, "front_height_m = 19.0")));
    let bearing = one("field.bearing_deg");
    assert_eq!((bearing.value, bearing.unit), (12.0, Unit::Degree));
    assert_eq!(bearing.line, Some(line_of(DEMO, "bearing_deg = 12.0")));
    // left to its usual value: no line
    let shift = one(r#"stand."Mill Stand".shift_m"#);
    assert_eq!((shift.value, shift.line), (0.0, None));
    assert_eq!(one("solid.Scoreboard.footprint.2.1").value, -18.0);
    assert_eq!(one(r#"camera."5 reverse".at.2"#).value, 7.0);
    assert_eq!(one(r#"gantry."main gantry".from.0"#).value, -20.0);
    assert_eq!(one(r#"tree."First lime".crown_radius_m"#).value, 5.5);
    for d in &all {
        let text = d.address.to_string();
        assert_eq!(address(&text), d.address);
        assert_eq!(draft.value(&d.address), Ok(d.value), "{text}");
        for no in ["reflectance", "transmittance", "fov", "horizon", "looks_at", "aim", "_lx"] {
            assert!(!text.contains(no), "{text}");
        }
    }
}

#[test]
fn a_change_moves_one_number_and_no_comment() {
    let mut draft = demo();
    assert_eq!(draft.text(), DEMO);
    draft.set(&address(r#"stand."Mill Stand".setback_m"#), 6.25).unwrap();
    draft.set(&address("solid.Scoreboard.footprint.2.1"), -17.5).unwrap();
    let expected = DEMO.replacen("setback_m = 6.0 ", "setback_m = 6.25 ", 1).replacen(
        "[69.0, -18.0]",
        "[69.0, -17.5]",
        1,
    );
    assert_eq!(draft.text(), expected);
    assert_eq!(draft.value(&address(r#"stand."Mill Stand".setback_m"#)), Ok(6.25));
}

#[test]
fn a_number_left_to_its_usual_value_gets_a_line_in_its_table() {
    let mut draft = demo();
    let shift = address(r#"stand."Mill Stand".shift_m"#);
    draft.set(&shift, -2.5).unwrap();
    let text = draft.text();
    let mill = &text[text.find("Mill Stand").unwrap()..text.find("[stand.roof]").unwrap()];
    assert!(mill.contains("shift_m = -2.5"), "{mill}");
    assert_eq!(Draft::parse(&text, "x").unwrap().value(&shift), Ok(-2.5));
}

/// The text after a change and the short way of [`Variants`] give one venue.
///
/// [`Variants`]: quarterstop::venue::Variants
#[test]
fn variants_are_the_venues_of_the_changed_text() {
    let mut draft = demo();
    let names = [
        "field.bearing_deg",
        r#"stand."Mill Stand".roof.front_height_m"#,
        r#"stand."Mill Stand".shift_m"#,
        "solid.Scoreboard.top_m",
        r#"tree."First lime".at.1"#,
    ]
    .map(address);
    let numbers = [17.5, 21.25, 3.0, 14.0, -67.0];
    let quick = draft.variants(&names).unwrap().venue(&numbers).unwrap();
    for (name, number) in names.iter().zip(numbers) {
        draft.set(name, number).unwrap();
    }
    let read = draft.venue().unwrap();
    assert_eq!(quick.field.frame, read.field.frame);
    assert_eq!(quick.occluders.len(), read.occluders.len());
    let points = |v: &quarterstop::venue::Venue| -> Vec<glam::DVec3> {
        let bodies = v.occluders.iter().flat_map(|o| &o.bodies);
        bodies.flat_map(|b| b.shape.points().to_vec()).collect()
    };
    assert_eq!(points(&quick), points(&read));
}

#[test]
fn what_cannot_be_is_told() {
    let mut draft = demo();
    let wrong = draft.set(&address(r#"stand."Mil Stand".roof.front_hight_m"#), 20.0).unwrap_err();
    assert!(matches!(wrong, DraftError::NoSuchDimension { .. }));
    assert!(wrong.to_string().contains(r#"`stand."Mill Stand".roof.front_height_m`"#), "{wrong}");
    let bearing = address("field.bearing_deg");
    for odd in [f64::NAN, f64::INFINITY] {
        assert!(matches!(draft.set(&bearing, odd), Err(DraftError::NotANumber { .. })));
    }
    // out of limits: the reader says so, at its line
    draft.set(&bearing, 400.0).unwrap();
    let report = draft.venue().unwrap_err().to_string();
    assert!(report.contains("field.bearing_deg: found 400.0 degrees"), "{report}");
    let variants = demo().variants(std::slice::from_ref(&bearing)).unwrap();
    assert!(
        variants.venue(&[400.0]).map(|v| v.title).unwrap_err().to_string().contains("0 to 360")
    );
    let roof = address(r#"stand."Mill Stand".roof.back_height_m"#);
    let low = demo().variants(&[roof]).unwrap().venue(&[5.0]).map(|v| v.title).unwrap_err();
    assert!(low.to_string().contains("a roof above the deck"), "{low}");
}

#[test]
fn tables_in_one_line_and_dotted_keys_are_changed_as_well() {
    let small = "title = \"Small\"\n\
        place = { latitude_deg = 50.0, longitude_deg = 0.0, height_m = 10, zone = \"UTC\" }\n\
        field.sport = \"tennis\"\nfield.bearing_deg = 10 # by eye\n\
        solid = [{ name = \"hut\", centre = [0.0, 30.0], radius_m = 2.0, top_m = 4 }]\n";
    let mut draft = Draft::parse(small, "small.toml").unwrap();
    draft.set(&address("field.bearing_deg"), 11.5).unwrap();
    draft.set(&address("solid.hut.top_m"), 4.5).unwrap();
    draft.set(&address("solid.hut.centre.1"), 31.0).unwrap();
    draft.set(&address("place.height_m"), 12.0).unwrap();
    let text = draft.text();
    assert!(text.contains("field.bearing_deg = 11.5 # by eye"), "{text}");
    assert!(text.contains("centre = [0.0, 31.0]") && text.contains("top_m = 4.5 }"), "{text}");
    let venue = draft.venue().unwrap();
    assert_eq!(venue.place.height_m, 12.0);
    assert_eq!(venue.field.frame.bearing().degrees(), 11.5);
}

#[test]
fn provenance_is_read_written_and_checked() {
    let mut draft = demo();
    let what = address(r#"stand."Mill Stand".roof.front_height_m"#);
    let mut survey = Surveyed {
        what: what.clone(),
        plus_minus: 0.15,
        how: How::Fitted,
        on: chrono::NaiveDate::from_ymd_opt(2027, 5, 3),
        note: Some("11 observations".into()),
    };
    draft.set_surveyed(&survey).unwrap();
    assert_eq!(draft.venue().unwrap().surveyed, [survey.clone()]);
    survey.plus_minus = 0.05;
    survey.how = How::Laser;
    survey.note = None;
    draft.set_surveyed(&survey).unwrap();
    let venue = draft.venue().unwrap();
    assert_eq!(venue.surveyed, [survey.clone()]);
    assert_eq!(draft.text().matches("[[surveyed]]").count(), 1);
    assert!(draft.text().starts_with(DEMO.trim_end()));

    let inline = format!(
        "surveyed = [{{ what = \"field.bearing_deg\", plus_minus = 1.5, how = \"compass\" }}]\n{DEMO}"
    );
    let mut draft = Draft::parse(&inline, "x").unwrap();
    draft.set_surveyed(&survey).unwrap();
    assert_eq!(draft.venue().unwrap().surveyed.len(), 2);

    let bad = format!(
        "{DEMO}\n[[surveyed]]\nwhat = \"field.baring_deg\"\nplus_minus = 0.1\nhow = \"tape\"\n\
         [[surveyed]]\nwhat = \"field.length_m\"\nplus_minus = 0\nhow = \"tape\"\n"
    );
    let told = parse(&bad, "x.toml").unwrap_err().to_string();
    // what a number means is asked before what it is about
    assert!(told.contains("surveyed[1].plus_minus: found 0"), "{told}");
    let told = parse(&bad.replacen("plus_minus = 0\n", "plus_minus = 0.1\n", 1), "x.toml");
    let told = told.unwrap_err().to_string();
    let line = line_of(&bad, "field.baring_deg");
    assert!(told.contains("near to it are `field.bearing_deg`"), "{told}");
    assert!(told.contains(&format!("x.toml:{line}")), "{told}");
    let bad = format!(
        "{DEMO}\n[[surveyed]]\nwhat = \"field..x\"\nplus_minus = 0.1\nhow = \"tap\"\non = \"2027-02-30\"\n"
    );
    let told = parse(&bad, "x.toml").unwrap_err().to_string();
    assert!(told.contains("did you mean \"tape\"?"), "{told}");
    let told = parse(&bad.replacen("\"tap\"", "\"tape\"", 1), "x.toml").unwrap_err().to_string();
    assert!(told.contains("is no address of a number"), "{told}");
    assert!(told.contains("a day of the calendar"), "{told}");
}

#[test]
fn a_draft_of_a_file_keeps_its_folder() {
    let draft = Draft::read(Path::new("venues/tennis-demo.toml")).unwrap();
    assert_eq!(draft.folder(), Some(Path::new("venues")));
    assert_eq!(draft.venue().unwrap().title, parse(&draft.text(), "").unwrap().title);
    assert!(Draft::read(Path::new("venues/none.toml")).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Names may hold dots, quotes and anything else that TOML can write.
    #[test]
    fn an_address_is_read_back_from_its_text(parts in prop::collection::vec("\\PC{1,12}", 1..5)) {
        let parts: Vec<String> = parts.iter().map(|p| p.trim().to_owned()).collect();
        let address = Address::from_parts(parts);
        prop_assert_eq!(address.to_string().parse::<Address>().unwrap(), address);
    }
}
