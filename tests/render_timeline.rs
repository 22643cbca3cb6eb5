//! The timeline picture, checked from outside through its SVG and its PNG.

mod render_support;
mod support;

use quarterstop::render::timeline;
use render_support::*;

/// Pictures to look at, with `QUARTERSTOP_PICTURES` naming a folder.
#[test]
fn pictures_of_every_kind_can_be_drawn() {
    let stories = [
        ("afternoon", afternoon()),
        ("evening", evening()),
        ("polar-night", polar_night()),
        ("many-cameras", many_cameras()),
        ("long-day", long_day()),
        (
            "one-camera",
            Story {
                cameras: vec!["Main gantry".into()],
                ..afternoon()
            },
        ),
    ];
    for (name, story) in stories {
        let picture = timeline(&venue(&story), &plan(&story)).unwrap();
        if let Ok(folder) = std::env::var("QUARTERSTOP_PICTURES") {
            let path = std::path::Path::new(&folder);
            std::fs::write(path.join(format!("{name}.png")), &picture.png).unwrap();
            std::fs::write(path.join(format!("{name}.svg")), &picture.svg).unwrap();
        }
        assert!(picture.png.len() > 10_000, "{name}");
    }
}
