//! How long a frame of a drag takes; figures for a quiet machine only.

use serde::Deserialize;

use super::chromium::open;
use super::pages::{FOOTBALL, TENNIS};

/// A frame at 60 a second, milliseconds.
const FRAME_MS: f64 = 1000.0 / 60.0;

/// Milliseconds of each step.
#[derive(Deserialize)]
struct Drag {
    /// In the page's own script: the event's handlers and the frame's painting.
    script: Vec<f64>,
    /// From a frame to the next.
    gaps: Vec<f64>,
}

/// Frame callbacks run in the order asked for: the first is asked for before the event
/// makes the page ask for its own, the last after it.
const DRAG: &str = "(async () => {
    const slider = document.getElementById('time-slider');
    const frame = (then) => new Promise((done) => requestAnimationFrame(() => done(then())));
    const script = [], gaps = [];
    let last = null;
    for (let k = 0; k < 150; k += 1) {
        slider.value = k % (Number(slider.max) + 1);
        const first = frame(() => performance.now());
        const begin = performance.now();
        slider.dispatchEvent(new Event('input', { bubbles: true }));
        const handled = performance.now() - begin;
        const end = frame(() => performance.now());
        const [from, to] = await Promise.all([first, end]);
        script.push(handled + to - from);
        if (last !== null) gaps.push(from - last);
        last = from;
    }
    return { script, gaps };
})()";

fn median_and_worst(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    (values[values.len() / 2], *values.last().unwrap())
}

#[test]
#[ignore = "measures time, for a quiet machine"]
fn a_drag_keeps_up_with_the_screen() {
    for venue in [FOOTBALL, TENNIS] {
        for size in [(360, 740), (1280, 800), (1280, 1700)] {
            let Some(page) = open(&format!("{venue}/board.html"), size) else { return };
            let drag: Drag = page.get(DRAG);
            let (script, worst) = median_and_worst(drag.script);
            let (gap, widest) = median_and_worst(drag.gaps);
            println!(
                "{venue} {size:?}: script a frame {script:.1} ms, worst {worst:.1}; \
                 frame to frame {gap:.1} ms, worst {widest:.1}"
            );
            assert!(script < FRAME_MS, "{venue} {size:?}: {script:.1} ms a frame");
        }
    }
}
