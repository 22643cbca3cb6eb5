//! The cautions that everything people carry has on it, in one place.
//!
//! In: nothing. Out: sentences, whole for pages and terminals, short for the foot of a
//! page, a picture or an entry of a calendar. Reports and pictures alike take them from
//! here.

/// Of every report, whole.
pub const CAUTIONS: [&str; 3] = [
    "Never look at the sun through a viewfinder, an optical sight or a lens; cap or pan off \
     unattended cameras: eyes, shutters and sensors burn.",
    "Heights, hoists in wind, heat, UV and glare: follow the venue's rules, local codes and \
     licensed people.",
    "Predicted from the geometry in the venue file; no survey, no structural, electrical or \
     right-to-light document.",
];

/// The same in short, for the foot of a page or of a picture: two lines.
pub const SHORT: [&str; 2] = [
    "Never look at the sun through a viewfinder, an optical sight or a lens; cap or pan off \
     unattended cameras.",
    "Heights, hoists in wind, heat, UV, glare: venue's rules, local codes, licensed people. \
     Predicted from the geometry given; no survey.",
];

/// Of a fit, which sends people out to observe.
pub const RECCE: [&str; 3] = [
    "Never look at the sun, least of all through a sight, a clinometer's window, a viewfinder or \
     a lens: it burns eyes. To see an edge take the sun, watch its shadow pass over a card or \
     the turf. Take angles only to edges well away from the sun.",
    "Stay off roofs, decks and barriers for the sake of a measure: follow the venue's rules, \
     local codes and licensed people.",
    "Fitted to a few observations; no survey, no structural, electrical or right-to-light \
     document.",
];

/// The short cautions in one line.
pub fn short() -> String {
    SHORT.join(" ")
}
