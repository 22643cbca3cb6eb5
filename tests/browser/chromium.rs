//! One Chromium for all tests that run at a time, one tab and one empty storage a test.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use std::time::{Duration, Instant};
use std::{env, ffi::OsStr, thread};

use headless_chrome::browser::tab::{ModifierKey, point::Point};
use headless_chrome::protocol::cdp::types::Event;
use headless_chrome::protocol::cdp::{Emulation, Input, Log, Network, Page, Runtime, Target};
use headless_chrome::{Browser, LaunchOptions, Tab};
use serde::de::DeserializeOwned;
use tempfile::TempDir;

use super::pages;

const DEFAULT_PLACES: [&str; 2] = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];
const FLAGS: [&str; 8] = [
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-gpu",
    "--disable-features=Translate,OptimizationHints,MediaRouter",
    "--hide-scrollbars",
];
const PATIENCE: Duration = Duration::from_secs(20);
/// Movements of the mouse in one drag.
const DRAG_STEPS: u32 = 8;

/// The browser, ended with the last test that holds it: a static would outlive the run.
struct Stage {
    browser: Browser,
    _profile: TempDir,
}

static STAGE: Mutex<Weak<Stage>> = Mutex::new(Weak::new());

fn executable() -> Option<PathBuf> {
    let named = env::var_os("CHROMIUM").map(PathBuf::from);
    let places =
        named.map_or_else(|| DEFAULT_PLACES.map(PathBuf::from).to_vec(), |path| vec![path]);
    places.into_iter().find(|path| path.is_file())
}

fn unpoisoned<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

fn stage() -> Option<Arc<Stage>> {
    let Some(path) = executable() else {
        let words = "skipped: no Chromium; CHROMIUM names one";
        assert!(env::var_os("CI").is_none(), "{words}");
        println!("{words}");
        return None;
    };
    let mut shared = unpoisoned(&STAGE);
    if let Some(stage) = shared.upgrade() {
        return Some(stage);
    }
    let profile = tempfile::tempdir().unwrap();
    let options = LaunchOptions::default_builder()
        .path(Some(path))
        .sandbox(false)
        .window_size(Some((1280, 800)))
        .user_data_dir(Some(profile.path().to_owned()))
        .args(FLAGS.iter().map(OsStr::new).collect())
        .idle_browser_timeout(Duration::from_secs(120))
        .build()
        .unwrap();
    let browser = Browser::new(options).unwrap();
    keep_awake(&browser);
    let stage = Arc::new(Stage { browser, _profile: profile });
    *shared = Arc::downgrade(&stage);
    Some(stage)
}

/// A tab of its own that says something all the time. The connection's reader sleeps a
/// tenth of a second whenever nothing comes, and each call would wait for it.
fn keep_awake(browser: &Browser) {
    let tab = browser.new_tab().unwrap();
    tab.enable_runtime().unwrap();
    tab.evaluate("setInterval(() => console.debug(''), 5)", false).unwrap();
}

/// What the browser said while a page was open.
#[derive(Default)]
struct Heard {
    complaints: Vec<String>,
    requests: Vec<String>,
}

/// A tab with a page in it.
pub struct Opened {
    tab: Arc<Tab>,
    heard: Arc<Mutex<Heard>>,
    url: String,
    _stage: Arc<Stage>,
}

/// Opens a file of the pages made, or tells that there is no browser.
pub fn open(file: &str, size: (u32, u32)) -> Option<Opened> {
    open_at(file, "", size)
}

/// The same with the part of the address after the sign of number.
pub fn open_at(file: &str, hash: &str, size: (u32, u32)) -> Option<Opened> {
    let _stage = stage()?; // no pages are made without a browser
    open_url(&format!("file://{}{hash}", pages::path(file).display()), size)
}

/// The same of any address.
pub fn open_url(url: &str, size: (u32, u32)) -> Option<Opened> {
    let stage = stage()?;
    let context = stage.browser.new_context().unwrap().get_id().to_owned();
    let tab = stage.browser.new_tab_with_options(in_context(context)).unwrap();
    tab.set_default_timeout(PATIENCE);
    let heard = Arc::new(Mutex::new(Heard::default()));
    listen(&tab, &heard);
    let opened = Opened { tab, heard, url: url.to_owned(), _stage: stage };
    opened.size(size);
    opened.go();
    Some(opened)
}

fn in_context(id: String) -> Target::CreateTarget {
    Target::CreateTarget {
        url: "about:blank".to_owned(),
        left: None,
        top: None,
        width: None,
        height: None,
        window_state: None,
        browser_context_id: Some(id),
        enable_begin_frame_control: None,
        new_window: None,
        background: None,
        for_tab: None,
        hidden: None,
    }
}

fn listen(tab: &Arc<Tab>, heard: &Arc<Mutex<Heard>>) {
    let told = Arc::clone(heard);
    let listener = move |event: &Event| {
        let mut heard = unpoisoned(&told);
        match event {
            Event::RuntimeConsoleAPICalled(e) => {
                use Runtime::ConsoleAPICalledEventTypeOption as Kind;
                if matches!(e.params.Type, Kind::Error | Kind::Warning | Kind::Assert) {
                    heard.complaints.push(format!("console: {:?}", e.params.args));
                }
            }
            Event::RuntimeExceptionThrown(e) => {
                heard.complaints.push(format!("exception: {:?}", e.params.exception_details));
            }
            Event::LogEntryAdded(e) => {
                use Log::LogEntryLevel::{Error, Warning};
                let entry = &e.params.entry;
                if matches!(entry.level, Error | Warning) {
                    heard.complaints.push(format!("log: {}", entry.text));
                }
            }
            Event::NetworkRequestWillBeSent(e) => {
                heard.requests.push(e.params.request.url.clone());
            }
            _ => {}
        }
    };
    tab.add_event_listener(Arc::new(listener)).unwrap();
    tab.enable_log().unwrap();
    tab.enable_runtime().unwrap();
    tab.call_method(Network::Enable {
        max_total_buffer_size: None,
        max_resource_buffer_size: None,
        max_post_data_size: None,
        report_direct_socket_traffic: None,
        enable_durable_messages: None,
    })
    .unwrap();
    // as if the tab were in front: timers, frames and the focus run in all of them
    tab.call_method(Emulation::SetFocusEmulationEnabled { enabled: true }).unwrap();
}

impl Opened {
    fn go(&self) {
        self.tab.navigate_to(&self.url).unwrap();
        self.until("document.readyState === 'complete' && location.href !== 'about:blank'");
        self.rest();
    }

    pub fn reload(&self) {
        self.run("window.before = true");
        self.tab.reload(false, None).unwrap();
        self.until("document.readyState === 'complete' && window.before === undefined");
        self.rest();
    }

    pub fn size(&self, (width, height): (u32, u32)) {
        let metrics = Emulation::SetDeviceMetricsOverride {
            width,
            height,
            device_scale_factor: 1.0,
            mobile: false,
            scale: None,
            screen_width: None,
            screen_height: None,
            position_x: None,
            position_y: None,
            dont_set_visible_size: None,
            screen_orientation: None,
            viewport: None,
            display_feature: None,
            device_posture: None,
        };
        self.tab.call_method(metrics).unwrap();
    }

    pub fn media(&self, media: &str) {
        let media = Emulation::SetEmulatedMedia { media: Some(media.to_owned()), features: None };
        self.tab.call_method(media).unwrap();
    }

    /// The value of an expression, which may be a promise.
    pub fn get<T: DeserializeOwned>(&self, expression: &str) -> T {
        let wrapped = format!(
            "(async () => {{ try {{ return JSON.stringify({{ value: (await ({expression})) ?? null }}); }} \
             catch (e) {{ return JSON.stringify({{ fault: String(e) + e.stack }}); }} }})()"
        );
        let answer = self.tab.evaluate(&wrapped, true).unwrap();
        let text = answer.value.as_ref().and_then(|v| v.as_str());
        let text = text.unwrap_or_else(|| panic!("{expression}\n{answer:?}"));
        let mut object: serde_json::Value = serde_json::from_str(text).unwrap();
        assert!(object.get("fault").is_none(), "{expression}\n{}", object["fault"]);
        serde_json::from_value(object["value"].take())
            .unwrap_or_else(|e| panic!("{expression}\n{text}\n{e}"))
    }

    /// Runs statements.
    pub fn run(&self, statements: &str) {
        let _: Option<u8> = self.get(&format!("(async () => {{ {statements} }})()"));
    }

    /// Runs a script of its own, whatever the page's policy allows.
    pub fn inject(&self, script: &str) {
        self.tab.evaluate(script, false).unwrap();
    }

    /// Types where the focus is.
    pub fn type_keys(&self, text: &str) {
        self.tab.type_str(text).unwrap();
    }

    pub fn text(&self, selector: &str) -> String {
        self.get(&format!("document.querySelector({selector:?}).innerText"))
    }

    /// Waits for what must come true.
    pub fn until(&self, condition: &str) {
        self.until_within(condition, PATIENCE);
    }

    /// The same with a patience of its own, for what takes all cores for a while.
    pub fn until_within(&self, condition: &str, patience: Duration) {
        let begin = Instant::now();
        while !self.try_bool(condition) {
            if begin.elapsed() >= patience {
                let state: serde_json::Value =
                    self.get("typeof liveState === 'function' ? liveState() : null");
                panic!("never came: {condition}\n{state}");
            }
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// False also while the page is being replaced.
    fn try_bool(&self, condition: &str) -> bool {
        let answer = self.tab.evaluate(condition, false);
        answer.is_ok_and(|a| a.value.is_some_and(|v| v == true))
    }

    /// Frames and the pause after which canvases out of sight are drawn.
    pub fn rest(&self) {
        self.run(
            "await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
             await new Promise((done) => setTimeout(done, 140));",
        );
    }

    pub fn key(&self, key: &str) {
        self.tab.press_key(key).unwrap();
    }

    pub fn shift_key(&self, key: &str) {
        self.tab.press_key_with_modifiers(key, Some(&[ModifierKey::Shift])).unwrap();
    }

    /// A click of the mouse at a point of the window.
    pub fn click_at(&self, x: f64, y: f64) {
        self.tab.click_point(Point { x, y }).unwrap();
    }

    /// A click of the mouse on the middle of an element, brought into sight.
    pub fn click(&self, selector: &str) {
        let [x, y]: [f64; 2] = self.get(&format!(
            "(() => {{ const node = document.querySelector({selector:?});
             node.scrollIntoView({{ block: 'center', behavior: 'instant' }});
             const box = node.getBoundingClientRect();
             return [box.x + box.width / 2, box.y + box.height / 2]; }})()"
        ));
        self.click_at(x, y);
    }

    /// Presses the mouse on the middle of an element, which must be in sight, and moves it
    /// by so many pixels in steps; it stays pressed.
    pub fn hold(&self, selector: &str, (dx, dy): (f64, f64)) -> Point {
        let [x, y]: [f64; 2] = self.get(&format!(
            "(() => {{ const box = document.querySelector({selector:?}).getBoundingClientRect();
             return [box.x + box.width / 2, box.y + box.height / 2]; }})()"
        ));
        self.mouse(Input::DispatchMouseEventTypeOption::MouseMoved, x, y);
        self.mouse(Input::DispatchMouseEventTypeOption::MousePressed, x, y);
        for step in 1..=DRAG_STEPS {
            let share = f64::from(step) / f64::from(DRAG_STEPS);
            let (x, y) = (x + share * dx, y + share * dy);
            self.mouse(Input::DispatchMouseEventTypeOption::MouseMoved, x, y);
        }
        Point { x: x + dx, y: y + dy }
    }

    /// Lets the mouse go that [`Opened::hold`] presses.
    pub fn let_go(&self, at: Point) {
        self.mouse(Input::DispatchMouseEventTypeOption::MouseReleased, at.x, at.y);
    }

    fn mouse(&self, kind: Input::DispatchMouseEventTypeOption, x: f64, y: f64) {
        let down = !matches!(kind, Input::DispatchMouseEventTypeOption::MouseReleased);
        let event = Input::DispatchMouseEvent {
            Type: kind,
            x,
            y,
            modifiers: None,
            timestamp: None,
            button: Some(Input::MouseButton::Left),
            buttons: Some(u32::from(down)),
            click_count: Some(1),
            force: None,
            tangential_pressure: None,
            tilt_x: None,
            tilt_y: None,
            twist: None,
            delta_x: None,
            delta_y: None,
            pointer_Type: None,
        };
        self.tab.call_method(event).unwrap();
    }

    pub fn control_key(&self, key: &str) {
        self.tab.press_key_with_modifiers(key, Some(&[ModifierKey::Ctrl])).unwrap();
    }

    /// Types into a field in the place of what it holds.
    pub fn fill(&self, selector: &str, text: &str) {
        self.run(&format!(
            "const field = document.querySelector({selector:?});
             field.scrollIntoView({{ block: 'center', behavior: 'instant' }});
             field.focus(); field.select();"
        ));
        self.tab.type_str(text).unwrap();
    }

    /// A number that differs with a canvas's pixels.
    pub fn pixels(&self, canvas: &str) -> f64 {
        self.get(&format!(
            "[...document.querySelector({canvas:?}).toDataURL()]
             .reduce((sum, sign) => (sum * 31 + sign.charCodeAt(0)) % 4294967291, 7)"
        ))
    }

    pub fn pdf(&self) -> Vec<u8> {
        let options = headless_chrome::types::PrintToPdfOptions {
            paper_width: Some(210.0 / 25.4),
            paper_height: Some(297.0 / 25.4),
            print_background: Some(true),
            prefer_css_page_size: Some(true),
            ..Default::default()
        };
        self.tab.print_to_pdf(Some(options)).unwrap()
    }

    pub fn requests(&self) -> Vec<String> {
        unpoisoned(&self.heard).requests.clone()
    }

    pub fn url(&self) -> &str {
        &self.url
    }

    /// Fails where the browser complained; first makes sure that it would be heard.
    pub fn assert_quiet(&self) {
        self.rest();
        self.run("console.error('is anyone there'); setTimeout(() => { throw Error('thrown'); })");
        let begin = Instant::now();
        let probes = |all: &[String]| {
            ["is anyone there", "thrown"].iter().all(|p| all.iter().any(|c| c.contains(p)))
        };
        while !probes(&unpoisoned(&self.heard).complaints) {
            assert!(begin.elapsed() < PATIENCE, "complaints are not heard");
            thread::sleep(Duration::from_millis(20));
        }
        let mut complaints = unpoisoned(&self.heard).complaints.clone();
        // 409 is how the live server answers what was asked of a ground that has changed since
        let expected = ["is anyone there", "thrown", "status of 409 (Conflict)"];
        complaints.retain(|c| !expected.iter().any(|e| c.contains(e)));
        assert!(complaints.is_empty(), "{complaints:#?}");
    }
}

impl Drop for Opened {
    fn drop(&mut self) {
        let _ = self.tab.call_method(Page::Close(None));
    }
}
