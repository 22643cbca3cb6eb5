//! Mesh files as part of a venue: read as another library reads them, placed where
//! they are said to stand, and refused in words where they cannot be used.

use std::fs;
use std::path::Path;

use base64::Engine;
use geo::{Area, BooleanOps, Coord, Euclidean, Length};
use glam::DVec3;
use proptest::prelude::*;

use crate::{mesh_support, support};
use quarterstop::base::frame::{FieldFrame, FieldPoint};
use quarterstop::base::units::Azimuth;
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::light::{Air, Scene, Sky, SkyLight};
use quarterstop::solar;
use quarterstop::venue::mesh::{MeshPlace, MeshSurface, Picked, UpAxis, placed};
use quarterstop::venue::{OccluderKind, Shape, Venue, parse, read};

/// A football pitch of 105 x 68 m, its bearing 20 degrees.
const BASE: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
length_m = 105.0
width_m = 68.0
bearing_deg = 20.0
"#;

fn data() -> String {
    format!("{}/tests/data", env!("CARGO_MANIFEST_DIR"))
}

/// Field axes that are the local frame's, the file's axes as they are.
fn as_it_is() -> (FieldFrame, MeshPlace) {
    let at = FieldPoint::on_ground(0.0, 0.0);
    let place = MeshPlace { metres_per_unit: 1.0, up: UpAxis::Z, at, turned_deg: 0.0 };
    (FieldFrame::new(Azimuth::from_degrees(90.0)), place)
}

/// tests/data/mesh_values.json: the same files read by trimesh 5.2.0 (MIT licence);
/// `trimesh.load(file, force="scene").to_geometry()`. Floats of glTF are of 32 bits.
#[test]
fn files_are_read_as_trimesh_reads_them() {
    let text = fs::read_to_string(format!("{}/mesh_values.json", data())).unwrap();
    let mut all: serde_json::Value = serde_json::from_str(&text).unwrap();
    // trimesh cuts the ends of the stand in the OBJ file, which are not convex, as fans
    // that reach outside of them: 80 m2 too much on either. The same stand in the GLB
    // file has the right area; the mast beside it has 2 x 1 m2 and 4 x 30 m2.
    let stand_m2 = all["files"]["stand.glb"]["area"].as_f64().unwrap();
    let fans_m2 = all["files"]["stand.obj"]["area"].as_f64().unwrap() * 1e-6;
    assert!((fans_m2 - stand_m2 - 122.0 - 160.0).abs() < 1e-6);
    all["files"]["stand.obj"]["area"] = ((stand_m2 + 122.0) * 1e6).into();
    let folder = format!("{}/meshes", data());
    for (file, wanted) in all["files"].as_object().unwrap() {
        let (frame, mut place) = as_it_is();
        // the OBJ file is in millimetres: values in metres, 1e-3 to the power
        let unit = if file.ends_with("obj") { 1e-3 } else { 1.0 };
        place.metres_per_unit = unit;
        let read = placed((Path::new(&folder), file, "x"), &place, Picked::default(), frame);
        let read = read.unwrap_or_else(|e| panic!("{file}: {e}"));
        let number = |key: &str| wanted[key].as_f64().unwrap();
        assert_eq!(read.note.triangles as f64, number("triangles"), "{file}");
        assert!(wanted["closed"].as_bool().unwrap());
        assert_eq!((read.note.closed_pieces as f64, read.note.open_pieces), (number("pieces"), 0));
        assert_eq!(read.meshes.len(), 1, "{file}");
        let mesh = &read.meshes[0];
        assert_eq!(mesh.surface(), MeshSurface::Closed);
        assert_eq!(mesh.vertices().len() as f64, number("corners"), "{file}");
        let (volume, area) = mesh_support::volume_and_area(mesh);
        let near = |ours: f64, theirs: f64| (ours / theirs - 1.0).abs() < 1e-6;
        assert!(near(volume / 6.0, number("volume") * unit.powi(3)), "{file} {volume}");
        assert!(near(area / 2.0, number("area") * unit.powi(2)), "{file} {area}");
        let corners = read.note.field_box.map(|p| [p.along_m, p.across_m, p.up_m]);
        for (i, corner) in corners.iter().enumerate() {
            for (axis, ours) in corner.iter().enumerate() {
                let theirs = wanted["bounds"][i][axis].as_f64().unwrap() * unit;
                assert!((ours - theirs).abs() < 1e-5, "{file} {ours} {theirs}");
            }
        }
    }
}

/// A venue in a folder of its own, with files beside it.
fn venue_of(tables: &str, files: &[(&str, &[u8])]) -> Result<Venue, String> {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let path = folder.path().join("ground.toml");
    fs::write(&path, format!("{BASE}{tables}")).unwrap();
    read(&path).map_err(|e| e.to_string())
}

/// One mistake, told with all of these parts.
fn refused(tables: &str, files: &[(&str, &[u8])], parts: &[&str]) {
    let told = venue_of(tables, files).err().unwrap_or_else(|| panic!("sound: {tables}"));
    for part in parts {
        assert!(told.contains(part), "no {part:?} in\n{told}");
    }
}

fn table(file: &str) -> String {
    format!(
        "[[mesh]]\nname = \"model\"\nfile = \"{file}\"\nmetres_per_unit = 1.0\nup = \"z\"\n\
         at = [0.0, 60.0, 0.0]\n"
    )
}

/// A stand as the venue file states it, without a roof ...
const BY_HAND: &str = r#"[[stand]]
name = "left"
side = "left"
setback_m = 8.0
length_m = 90.0
depth_m = 20.0
front_height_m = 1.5
back_height_m = 14.0
seat_reflectance = 0.2
"#;

/// ... its section, outward and up, metres.
const SECTION: [[f64; 2]; 4] = [[0.0, 0.0], [20.0, 0.0], [20.0, 14.0], [0.0, 1.5]];

/// The same in centimetres, z up, y along the stand, turned by a quarter.
fn as_obj() -> Vec<u8> {
    let mut text = String::from("o deck\n");
    for y in [-45.0, 45.0] {
        for [out, up] in SECTION {
            text += &format!("v {} {} {}\n", out * 100.0, y * 100.0, up * 100.0);
        }
    }
    text += "f 1 2 3 4\nf 8 7 6 5\nf 1 5 6 2\nf 2 6 7 3\nf 3 7 8 4\nf 4 8 5 1\n";
    text.into_bytes()
}

/// The same in metres, y up, x along the stand, z toward the field; a fan for each
/// face, the buffer in the file.
fn as_gltf() -> Vec<u8> {
    let mut points: Vec<[f32; 3]> = Vec::new();
    for x in [-45.0_f32, 45.0] {
        points.extend(SECTION.map(|[out, up]| [x, up as f32, -out as f32]));
    }
    let fans: [[u8; 4]; 6] =
        [[0, 1, 2, 3], [7, 6, 5, 4], [0, 4, 5, 1], [1, 5, 6, 2], [2, 6, 7, 3], [3, 7, 4, 0]];
    let mut blob: Vec<u8> = points.iter().flatten().flat_map(|v| v.to_le_bytes()).collect();
    blob.extend(fans.iter().flatten());
    let data = base64::engine::general_purpose::STANDARD.encode(&blob);
    let accessor = |i: usize| {
        format!(
            r#"{{"bufferView":1,"byteOffset":{},"componentType":5121,"count":4,"type":"SCALAR"}}"#,
            4 * i
        )
    };
    let accessors: Vec<String> = (0..6).map(accessor).collect();
    let primitive =
        |i: usize| format!(r#"{{"attributes":{{"POSITION":0}},"indices":{},"mode":6}}"#, i + 1);
    let primitives: Vec<String> = (0..6).map(primitive).collect();
    format!(
        r#"{{"asset":{{"version":"2.0"}},"scene":0,"scenes":[{{"nodes":[0]}}],
        "nodes":[{{"name":"deck","mesh":0}}],"meshes":[{{"primitives":[{}]}}],
        "buffers":[{{"byteLength":{},"uri":"data:application/octet-stream;base64,{data}"}}],
        "bufferViews":[{{"buffer":0,"byteLength":96}},{{"buffer":0,"byteOffset":96,"byteLength":24}}],
        "accessors":[{{"bufferView":0,"componentType":5126,"count":8,"type":"VEC3",
        "min":[-45,0,-20],"max":[45,14,0]}},{}]}}"#,
        primitives.join(","),
        blob.len(),
        accessors.join(",")
    )
    .into_bytes()
}

fn both_models() -> [Venue; 2] {
    // the file's x runs outward: at -90 degrees it looks to the left of the field
    let obj = "[[mesh]]\nname = \"m\"\nfile = \"models/stand.obj\"\nmetres_per_unit = 0.01\nup = \"z\"\n\
               at = [0.0, 42.0, 0.0]\nturned_deg = -90.0\nreflectance = 0.2\n";
    let gltf = "[[mesh]]\nname = \"m\"\nfile = \"stand one.gltf\"\nmetres_per_unit = 1.0\nup = \"y\"\n\
                at = [0.0, 42.0, 0.0]\nreflectance = 0.2\n";
    [
        venue_of(obj, &[("models/stand.obj", &as_obj())]).unwrap_or_else(|e| panic!("{e}")),
        venue_of(gltf, &[("stand one.gltf", &as_gltf())]).unwrap_or_else(|e| panic!("{e}")),
    ]
}

/// The same stand by hand, as OBJ and as glTF throws the same shadow: what differs is
/// thinner than a hundredth of a millimetre all along the edge.
#[test]
fn a_model_shades_as_the_stand_that_it_was_drawn_from() {
    let by_hand = venue_of(BY_HAND, &[]).unwrap();
    let date = support::date();
    for model in both_models() {
        assert_eq!(model.occluders[0].kind, OccluderKind::Mesh);
        assert_eq!((model.meshes[0].closed_pieces, model.meshes[0].open_pieces), (1, 0));
        for height in [TURF_HEIGHT_M, FACE_HEIGHT_M] {
            let casters = [&by_hand, &model].map(|v| Caster::new(v, date, height));
            for (azimuth, elevation) in [(300.0, 10.0), (280.0, 8.0), (240.0, 4.0), (300.0, 14.0)] {
                let sun = quarterstop::base::frame::direction(
                    Azimuth::from_degrees(azimuth),
                    quarterstop::base::units::Elevation::from_degrees(elevation),
                );
                let [one, other] =
                    casters.each_ref().map(|c| c.cast(sun, &mut OverlayScratch::default()).opaque);
                let length: f64 = one.0.iter().map(|p| Euclidean.length(p.exterior())).sum();
                assert!(length > 50.0, "there is a shadow at {azimuth} {elevation}");
                let off_m = one.xor(&other).unsigned_area() / length;
                assert!(off_m < 1e-5, "{azimuth} {elevation} {height}: {off_m} m");
            }
        }
    }
}

/// ... and sends the same light to the turf: within a thousandth, the rounding of glTF's
/// 32-bit floats on rays that graze an edge.
#[test]
fn a_model_lights_as_the_stand_that_it_was_drawn_from() {
    use chrono::{TimeZone, Utc};
    let by_hand = venue_of(BY_HAND, &[]).unwrap();
    let at = chrono_tz::Europe::London.with_ymd_and_hms(2027, 4, 17, 17, 0, 0).unwrap();
    let turf = |venue: &Venue| {
        let scene = Scene::new(venue, Obstacle::all_of(venue, support::date()));
        let sun = solar::position(&venue.place, at.with_timezone(&Utc));
        let sky = SkyLight::new(scene.dome(), &sun, &venue.place, &Air::default(), Sky::Clear, 107);
        let caster = Caster::new(venue, support::date(), TURF_HEIGHT_M);
        let shadow = caster.cast(sun.toward(), &mut OverlayScratch::default());
        let light = scene.at(&sky, &shadow);
        light.turf.iter().map(|t| t.lux()).collect::<Vec<f64>>()
    };
    let wanted = turf(&by_hand);
    let open = turf(&venue_of("", &[]).unwrap());
    let differs = wanted.iter().zip(&open).any(|(a, b)| (a / b - 1.0).abs() > 0.02);
    assert!(differs, "the stand matters");
    for model in both_models() {
        for (ours, wanted) in turf(&model).iter().zip(&wanted) {
            assert!((ours / wanted - 1.0).abs() < 1e-3, "{ours} {wanted}");
        }
    }
}

/// A box off the middle of its file, by arithmetic: turned clockwise and moved.
#[test]
fn turns_are_clockwise_and_nothing_is_mirrored() {
    // a corner piece: three points tell a hand from its mirror image
    let obj = b"v 1 0 0\nv 3 0 0\nv 1 1 0\nv 1 0 5\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";
    for (turned, along, across) in [
        (0.0, [1.0, 3.0], [60.0, 61.0]),
        (90.0, [0.0, 1.0], [57.0, 59.0]),
        (180.0, [-3.0, -1.0], [59.0, 60.0]),
        (-90.0, [-1.0, 0.0], [61.0, 63.0]),
    ] {
        let tables = format!("{}turned_deg = {turned:?}\n", table("a.obj"));
        let venue = venue_of(&tables, &[("a.obj", obj)]).unwrap_or_else(|e| panic!("{e}"));
        let [low, high] = venue.meshes[0].field_box;
        let near = |got: [f64; 2], wanted: [f64; 2]| {
            (got[0] - wanted[0]).abs() < 1e-9 && (got[1] - wanted[1]).abs() < 1e-9
        };
        assert!(near([low.along_m, high.along_m], along), "{turned} {low:?} {high:?}");
        assert!(near([low.across_m, high.across_m], across), "{turned} {low:?} {high:?}");
        let Shape::Mesh(mesh) = &venue.occluders[0].bodies[0].shape else { panic!("a mesh") };
        assert!(mesh_support::volume_and_area(mesh).0 > 0.0);
    }
}

#[test]
fn groups_are_picked_by_name_and_what_is_not_used_is_told() {
    let obj = fs::read(format!("{}/meshes/stand.obj", data())).unwrap();
    let base = "[[mesh]]\nname = \"m\"\nfile = \"s.obj\"\nmetres_per_unit = 0.001\nup = \"z\"\n\
                at = [0.0, 60.0, 0.0]\n";
    let with = |more: &str| venue_of(&format!("{base}{more}"), &[("s.obj", &obj)]);
    let all = with("").unwrap_or_else(|e| panic!("{e}"));
    assert_eq!((all.meshes[0].triangles, all.meshes[0].closed_pieces), (32, 2));
    let skipped: Vec<(&str, usize)> = all.meshes[0].skipped.kinds().collect();
    assert_eq!(skipped[..2].iter().map(|s| s.0).collect::<Vec<_>>()[0], "lines");
    assert!(skipped.contains(&("lines", 1)) && skipped.contains(&("points", 1)));
    assert!(skipped.iter().any(|(what, count)| what.starts_with("materials") && *count == 2));
    let text = quarterstop::jobs::check::report::inventory::text(&all);
    assert!(text.contains("m (mesh)") && text.contains("lines (1)"), "{text}");
    let mast = with("only = [\"mast\"]\n").unwrap();
    assert_eq!(mast.meshes[0].triangles, 12);
    assert_eq!(mast.meshes[0].left_out, [("stand".to_owned(), 20)]);
    let stand = with("without = [\"mast\"]\n").unwrap();
    assert_eq!(stand.meshes[0].triangles, 20);
    let wrong = with("only = [\"mats\"]\n").unwrap_err();
    assert!(wrong.contains("\"mats\", which `s.obj` has not"), "{wrong}");
    assert!(wrong.contains("\"mast\", \"stand\""), "{wrong}");
}

#[test]
fn a_text_without_a_folder_may_name_no_mesh() {
    let told = parse(&format!("{BASE}{}", table("a.obj")), "ground.toml").unwrap_err().to_string();
    for part in ["mesh[0].file", "no folder to look for it in", "ground.toml:14"] {
        assert!(told.contains(part), "{told}");
    }
}

const TRIANGLE: &[u8] = b"v 0 0 0\nv 9 0 0\nv 0 0 9\nf 1 2 3\n";

#[test]
fn obj_files_that_cannot_be_used_are_refused_with_their_line() {
    let told = |text: &str, parts: &[&str]| {
        refused(&table("a.obj"), &[("a.obj", text.as_bytes())], parts);
    };
    let good = "v 0 0 0\nv 9 0 0\nv 0 0 9\n";
    told(
        &format!("{good}# note\nf 1 2 4\n"),
        &["`a.obj`, line 5", "the vertex 4", "1 to 3", "ground.toml:"],
    );
    told(&format!("{good}f 0 1 2\n"), &["line 4", "the vertex 0"]);
    told(&format!("{good}f -1 -2 -4\n"), &["line 4", "the vertex -4"]);
    told(&format!("{good}f 1 2 x\n"), &["line 4", "not indices"]);
    told("v 0 0 0\nv 9 zero 0\nv 0 0 9\nf 1 2 3\n", &["line 2", "not three numbers"]);
    told("v 0 0 0\nv 9 0\nv 0 0 9\nf 1 2 3\n", &["line 2", "not three numbers"]);
    told("v 0 0 0\nv nan 0 0\nv 0 0 9\nf 1 2 3\n", &["NaN", "finite"]);
    told("v 0 0 0\nv 1e308 0 0\nv 0 0 9\nf 1 2 3\n", &["within 5000 m", "metres_per_unit"]);
    told("v 0 0 0\nv 1e999 0 0\nv 0 0 9\nf 1 2 3\n", &["finite"]);
    told(&format!("{good}f 1 1 1\n"), &["without a triangle"]);
    told("", &["without a triangle"]);
    told(&format!("{good}l 1 2 3\n"), &["without a triangle"]);
    refused(&table("a.obj"), &[("a.obj", b"v 0 0 0\n\xff\n")], &["line 2", "UTF-8"]);
    let indices: Vec<String> = (0..3000).map(|i| (i % 3 + 1).to_string()).collect();
    told(&format!("{good}f {}\n", indices.join(" ")), &["a face with 3000 corners"]);
}

#[test]
fn paths_lead_to_files_beside_the_venue_only() {
    let allowed = "in the folder of the file that names it";
    for path in ["../a.obj", "/etc/a.obj", "x/../../a.obj", "C:a.obj", "x\\\\a.obj", "", " "] {
        refused(&table(path), &[("a.obj", TRIANGLE)], &["mesh[0].file", allowed]);
    }
    refused(&table("none.obj"), &[], &["`none.obj`, which cannot be read"]);
    refused(&table("a.stl"), &[("a.stl", b"solid\n")], &[".obj, .gltf or .glb"]);
    refused(&table("b.obj/c.obj"), &[("b.obj", TRIANGLE)], &["which cannot be read"]);
    assert!(venue_of(&table("./x/a.obj"), &[("x/a.obj", TRIANGLE)]).is_ok());
    #[cfg(unix)]
    {
        let outside = tempfile::tempdir().unwrap();
        fs::write(outside.path().join("a.obj"), TRIANGLE).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("a.obj");
        std::os::unix::fs::symlink(outside.path().join("a.obj"), link).unwrap();
        fs::write(folder.path().join("g.toml"), format!("{BASE}{}", table("a.obj"))).unwrap();
        let told = read(&folder.path().join("g.toml")).unwrap_err().to_string();
        assert!(told.contains("a link that leads out"), "{told}");
    }
}

#[test]
fn a_mesh_on_the_field_of_play_is_refused_with_its_group() {
    let obj = b"o pitch\nv -50 -94 0\nv 50 -94 0\nv 50 -26 0\nv -50 -26 0\nf 1 2 3 4\n\
                o wall\nv -50 0 0\nv 50 0 0\nv 50 0 9\nf 5 6 7\n";
    let files: [(&str, &[u8]); 1] = [("a.obj", obj)];
    refused(&table("a.obj"), &files, &["6800.00 m2", "\"pitch\"", "without"]);
    let sound = format!("{}without = [\"pitch\"]\n", table("a.obj"));
    assert!(venue_of(&sound, &files).is_ok());
    // a roof over the field is no such thing
    let roof = b"v -50 -60 30\nv 50 -60 30\nv 50 0 30\nf 1 2 3\n";
    assert!(venue_of(&table("a.obj"), &[("a.obj", roof)]).is_ok());
}

/// A glTF file around one primitive.
fn gltf(json: &str, blob: &[u8]) -> Vec<u8> {
    let data = base64::engine::general_purpose::STANDARD.encode(blob);
    json.replace("DATA", &format!("data:;base64,{data}"))
        .replace("LENGTH", &blob.len().to_string())
        .into_bytes()
}

const PLAIN: &str = r#"{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],
"buffers":[{"byteLength":LENGTH,"uri":"DATA"}],
"bufferViews":[{"buffer":0,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":3}],
"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[9,9,9]},
{"bufferView":1,"componentType":5121,"count":3,"type":"SCALAR"}]}"#;

fn blob(indices: [u8; 3], value: f32) -> Vec<u8> {
    let floats = [0.0, 0.0, 0.0, value, 0.0, 0.0, 0.0, 0.0, 9.0_f32];
    let mut bytes: Vec<u8> = floats.iter().flat_map(|v| v.to_le_bytes()).collect();
    bytes.extend(indices);
    bytes
}

#[test]
fn gltf_files_that_cannot_be_used_are_refused_with_the_element() {
    let told = |json: &str, blob: &[u8], parts: &[&str]| {
        refused(&table("a.gltf"), &[("a.gltf", &gltf(json, blob))], parts);
    };
    let good = blob([0, 1, 2], 9.0);
    assert!(venue_of(&table("a.gltf"), &[("a.gltf", &gltf(PLAIN, &good))]).is_ok());
    told(PLAIN, &blob([0, 1, 7], 9.0), &["mesh 0, primitive 0: the index 7", "0 to 2"]);
    told(PLAIN, &blob([0, 1, 2], f32::NAN), &["vertex 1", "finite"]);
    told(PLAIN, &blob([0, 1, 2], 3e38), &["within 5000 m"]);
    told(PLAIN, &blob([0, 0, 0], 9.0), &["without a triangle"]);
    let swap = |from: &str, to: &str| {
        assert!(PLAIN.contains(from));
        PLAIN.replacen(from, to, 1)
    };
    let huge = swap("\"count\":3,\"type\":\"VEC3\"", "\"count\":4000000000000,\"type\":\"VEC3\"");
    told(&huge, &good, &["POSITION", "do not fit"]);
    let count = swap(
        "\"count\":3,\"type\":\"SCALAR\"",
        "\"count\":18446744073709551615,\"type\":\"SCALAR\"",
    );
    told(&count, &good, &["do not fit"]);
    told(&swap("\"byteOffset\":36", "\"byteOffset\":18446744073709551615"), &good, &["do not fit"]);
    told(
        &swap("\"byteLength\":LENGTH", "\"byteLength\":999"),
        &good,
        &["buffer 0 of 39 bytes, 999 stated"],
    );
    told(&swap("5126", "5123"), &good, &["not three 32-bit floats"]);
    told(&swap("5121", "5126"), &[good.as_slice(), &[0; 9]].concat(), &["`a.gltf`"]);
    told(
        &swap("\"nodes\":[{\"mesh\":0}]", "\"nodes\":[{\"mesh\":0,\"children\":[0]}]"),
        &good,
        &["node 0 in itself"],
    );
    told(&swap("\"mesh\":0}]", "\"mesh\":5}]"), &good, &["`a.gltf`", "nodes[0].mesh"]);
    told(&swap("DATA", "data:;base64,@@@"), &good, &["no base64"]);
    told(
        &swap("DATA", "../b.bin"),
        &good,
        &["buffer 0", "in the folder of the file that names it"],
    );
    told(&swap("DATA", "https://example.org/b.bin"), &good, &["buffer 0"]);
    told(&swap("DATA", "none.bin"), &good, &["`none.bin`, which cannot be read"]);
    let draco = swap(
        "\"asset\"",
        "\"extensionsUsed\":[\"KHR_draco_mesh_compression\"],\"extensionsRequired\":[\"KHR_draco_mesh_compression\"],\"asset\"",
    );
    told(
        &draco,
        &good,
        &["cannot do without", "KHR_draco_mesh_compression", "without compression"],
    );
    let sparse = swap(
        "\"type\":\"VEC3\"",
        "\"type\":\"VEC3\",\"sparse\":{\"count\":1,\"indices\":{\"bufferView\":1,\"componentType\":5121},\"values\":{\"bufferView\":0}}",
    );
    told(&sparse, &good, &["sparse data"]);
    told(
        &swap("\"bufferView\":0,\"componentType\"", "\"componentType\""),
        &good,
        &["accessors[0].bufferView"],
    );
    told("{", &[], &["`a.gltf`"]);
    // glTF 2.0 (ISO/IEC 12113:2022), 3.2: another major version, or a higher minVersion, is
    // not to be loaded; a later minor version is
    for (asset, why) in [
        ("{\"version\":\"9.0\"}", "asset.version \"9.0\""),
        ("{\"version\":\"1.0\"}", "asset.version \"1.0\""),
        ("{\"version\":\"two\"}", "asset.version \"two\""),
        ("{\"version\":\"2.1\",\"minVersion\":\"2.1\"}", "asset.minVersion \"2.1\""),
        ("{\"version\":\"2.0\",\"minVersion\":\"9\"}", "asset.minVersion \"9\""),
    ] {
        told(&swap("{\"version\":\"2.0\"}", asset), &good, &["`a.gltf`", why, "glTF 2.0"]);
    }
    let later = swap("{\"version\":\"2.0\"}", "{\"version\":\"2.7\",\"minVersion\":\"2.0\"}");
    assert!(venue_of(&table("a.gltf"), &[("a.gltf", &gltf(&later, &good))]).is_ok());
    // what only changes the looks is no reason
    let unlit = swap(
        "\"asset\"",
        "\"extensionsUsed\":[\"KHR_materials_unlit\"],\"extensionsRequired\":[\"KHR_materials_unlit\"],\"asset\"",
    );
    assert!(venue_of(&table("a.gltf"), &[("a.gltf", &gltf(&unlit, &good))]).is_ok());
}

#[test]
fn a_buffer_may_lie_beside_with_a_space_in_its_name_and_lines_are_counted() {
    let json = PLAIN.replace("DATA", "my%20buffer.bin").replace("LENGTH", "39").replacen(
        "\"indices\":1}]",
        "\"indices\":1},{\"attributes\":{\"POSITION\":0},\"mode\":1}]",
        1,
    );
    let files: [(&str, &[u8]); 2] =
        [("a.gltf", json.as_bytes()), ("my buffer.bin", &blob([0, 1, 2], 9.0))];
    let venue = venue_of(&table("a.gltf"), &files).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(venue.meshes[0].triangles, 1);
    assert_eq!(venue.meshes[0].skipped.kinds().collect::<Vec<_>>(), [("primitives of lines", 1)]);
}

#[test]
fn cut_off_and_too_large_files_are_told() {
    let glb = fs::read(format!("{}/meshes/stand.glb", data())).unwrap();
    for length in [4, 8, 11, 12, 19, 20, 40, glb.len() - 1] {
        refused(&table("a.glb"), &[("a.glb", &glb[..length])], &["mesh[0].file", "`a.glb`"]);
    }
    let mut short = glb.clone();
    short[8..12].copy_from_slice(&3_u32.to_le_bytes());
    refused(&table("a.glb"), &[("a.glb", &short)], &["cut off"]);
    // a fan of more corners than a mesh may have
    let corners = 600_000;
    let json = PLAIN
        .replace("\"indices\":1", "\"indices\":1,\"mode\":6")
        .replace("\"byteLength\":3}", &format!("\"byteLength\":{corners}}}"))
        .replace(
            "\"count\":3,\"type\":\"SCALAR\"",
            &format!("\"count\":{corners},\"type\":\"SCALAR\""),
        );
    let bytes = [blob([0, 1, 2], 9.0), vec![0; corners]].concat();
    refused(
        &table("a.gltf"),
        &[("a.gltf", &gltf(&json, &bytes))],
        &["599998 triangles", "at most 500000"],
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Whatever bytes are changed: read or refused, never a panic.
    #[test]
    fn no_file_brings_the_reader_down(
        which in 0_usize..3,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
        whole in any::<bool>(),
    ) {
        let file = ["stand.obj", "stand.glb", "drum.gltf"][which];
        let mut bytes = fs::read(format!("{}/meshes/{file}", data())).unwrap();
        for (at, byte) in &changes {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        if !whole {
            bytes.truncate(cut.index(bytes.len()));
        }
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(file), &bytes).unwrap();
        let (frame, place) = as_it_is();
        let read = placed((folder.path(), file, "x"), &place, Picked::default(), frame);
        if let Ok(read) = read {
            for mesh in &read.meshes {
                prop_assert!(mesh.vertices().iter().all(|p| p.is_finite()));
            }
        }
    }

    /// Any turn, unit and place: a closed mesh stays closed, and its box is as far off
    /// as arithmetic says.
    #[test]
    fn placed_meshes_keep_their_size(
        turned in -360.0..360.0_f64, unit in 0.01..3.0_f64, along in -50.0..50.0_f64, up_axis in any::<bool>(),
    ) {
        let (frame, mut place) = as_it_is();
        place.turned_deg = turned;
        place.metres_per_unit = unit;
        place.at.along_m = along;
        if up_axis {
            place.up = UpAxis::Y;
        }
        let folder = format!("{}/meshes", data());
        let read = placed((Path::new(&folder), "drum.gltf", "x"), &place, Picked::default(), frame).unwrap();
        prop_assert_eq!((read.note.closed_pieces, read.note.open_pieces), (1, 0));
        let (volume, _) = mesh_support::volume_and_area(&read.meshes[0]);
        // 1983.83: mesh_values.json
        prop_assert!((volume / 6.0 / unit.powi(3) / 1_983.830_892_3 - 1.0).abs() < 1e-5);
    }
}

/// From above a ring-shaped bowl has a hole, its pieces have none, and both cover what
/// the formula says: the ellipse of the wall less that of the front row.
#[test]
fn the_plan_of_a_bowl_has_a_hole_and_its_pieces_have_none() {
    use mesh_support::{Bowl, bowl_mesh};
    let frame = support::football().field.frame;
    for bowl in [Bowl::Smooth, Bowl::Steps] {
        let mesh = bowl_mesh(frame, bowl, 5, 180);
        let outer = if bowl == Bowl::Smooth { 32.6 } else { 32.0 };
        let ellipse = |out: f64| std::f64::consts::PI * (80.0 + out) * (56.0 + out);
        let wanted = ellipse(outer) - ellipse(0.0);
        assert_eq!(mesh.plan().0.len(), 1);
        assert_eq!(mesh.plan().0[0].interiors().len(), 1);
        for plan in [mesh.plan(), mesh.plan_pieces()] {
            // chords of two degrees: 2e-4 less than the ellipses
            assert!((plan.unsigned_area() / wanted - 1.0).abs() < 1e-3, "{bowl:?}");
        }
        assert!(mesh.plan_pieces().0.iter().all(|p| p.interiors().is_empty()));
        let centre = Coord { x: 0.0, y: 0.0 };
        assert!(!geo::Contains::contains(mesh.plan(), &geo::Point(centre)));
        assert!(mesh.vertices().iter().all(|p: &DVec3| p.is_finite()));
    }
}
