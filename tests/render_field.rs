//! The picture of the field: structure, text and pixels.

mod render_support_field;
mod support;

use quarterstop::render::field;
use render_support_field as grounds;

#[test]
#[ignore = "writes pictures for the eye: FIELD_PICTURES=folder"]
fn write_pictures() {
    let folder = std::path::PathBuf::from(std::env::var("FIELD_PICTURES").unwrap());
    let football = grounds::football_ground();
    let long = grounds::with_names(grounds::football_ground(), |i| {
        format!("Camera {i} <&\"> on the temporary scaffold of the river side, bay {i}")
    });
    let many = grounds::many_cameras();
    let tennis = grounds::tennis_court();
    let cricket = grounds::cricket_oval();
    let ring = grounds::roof_ring();
    let mut overcast = grounds::plan(&football, 255.0, 28.0);
    overcast.sky = quarterstop::light::Sky::Overcast;
    let cases = [
        ("football", &football, grounds::plan(&football, 255.0, 28.0)),
        ("morning", &football, grounds::plan(&football, 100.0, 22.0)),
        ("overcast", &football, overcast),
        ("night", &football, grounds::plan(&football, 310.0, -4.0)),
        ("long", &long, grounds::plan(&long, 255.0, 20.0)),
        ("many", &many, grounds::plan(&many, 240.0, 25.0)),
        ("tennis", &tennis, grounds::plan(&tennis, 240.0, 35.0)),
        ("cricket", &cricket, grounds::plan(&cricket, 345.0, 20.0)),
        ("ring", &ring, grounds::plan(&ring, 20.0, 60.0)),
    ];
    for (name, venue, plan) in cases {
        let start = std::time::Instant::now();
        let picture = field(venue, &plan, 0).unwrap();
        println!("{name}: {:?}", start.elapsed());
        std::fs::write(folder.join(format!("{name}.svg")), picture.svg).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), picture.png).unwrap();
    }
}
