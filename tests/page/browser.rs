//! A real browser, driven as WebDriver (W3C Recommendation, 2018) has it.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};

/// Set where a browser must not be lacking: there, nothing is passed over.
pub const REQUIRED: &str = "COLDTRAIL_BROWSER";

/// Chromium makes no window narrower, px.
const NARROWEST_WINDOW: u32 = 500;

/// How long something is waited for.
pub const PATIENCE: Duration = Duration::from_secs(120);

/// The driver of Debian's chromium; it ends with this.
pub struct Driver {
    child: Child,
    address: String,
}

impl Driver {
    /// Starts it; none where it is not installed.
    pub fn start() -> Option<Self> {
        let started = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut child) = started else {
            assert!(
                std::env::var_os(REQUIRED).is_none(),
                "chromium-driver is not installed"
            );
            println!("chromium-driver is not installed: the page is not tried in a browser");
            return None;
        };
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let port = lines.map_while(Result::ok).find_map(|line| {
            let (_, after) = line.split_once("started successfully on port ")?;
            after.trim_end_matches('.').parse::<u16>().ok()
        });
        let address = format!("http://127.0.0.1:{}", port.unwrap());
        Some(Self { child, address })
    }

    /// Opens a window of this size, px, for somebody who likes it so.
    pub async fn window(&self, size: (u32, u32), flags: &[&str]) -> Client {
        let (width, height) = size;
        let mut arguments = vec![
            "--headless=new".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--force-device-scale-factor=1".to_owned(),
            format!("--window-size={width},{height}"),
        ];
        arguments.extend(flags.iter().map(|flag| (*flag).to_owned()));
        let mut options = json!({ "args": arguments });
        // A window is never as narrow as a telephone.
        if width < NARROWEST_WINDOW {
            let metrics =
                json!({ "width": width, "height": height, "pixelRatio": 1.0, "touch": false });
            options["mobileEmulation"] = json!({ "deviceMetrics": metrics });
        }
        let mut wanted = serde_json::Map::new();
        wanted.insert("goog:chromeOptions".to_owned(), options);
        // A room's certificate is its own.
        wanted.insert("acceptInsecureCerts".to_owned(), true.into());
        let client = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new())
            .capabilities(wanted)
            .connect(&self.address)
            .await;
        let client = client.unwrap();
        if width >= NARROWEST_WINDOW {
            client.set_window_size(width, height).await.unwrap();
        }
        client
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Where pictures of the screens go, to be looked at.
pub fn pictures() -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/tmp/screens");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// A picture of what the window shows.
pub async fn pictured(client: &Client, name: &str) {
    let picture = client.screenshot().await.unwrap();
    std::fs::write(pictures().join(format!("{name}.png")), picture).unwrap();
}

/// What axe-core 4.14 (Deque Systems, MPL 2.0, `axe.min.js` beside this file) finds against WCAG 2.2 A and AA.
pub async fn unmet(client: &Client) -> Vec<String> {
    // It is put there by the driver, which the page's policy does not bind.
    let axe = include_str!("axe.min.js");
    client.execute(axe, Vec::new()).await.unwrap();
    // What the bar at the top lies over is a matter of how far somebody has scrolled, and not of the page.
    let top = "const before = scrollY; scrollTo({top: 0, behavior: 'instant'}); return before";
    let before = client.execute(top, Vec::new()).await.unwrap();
    let run = "const done = arguments[arguments.length - 1]; \
        axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}).then( \
        found => done(found.violations), error => done([{id: String(error), nodes: []}]));";
    let found = client.execute_async(run, Vec::new()).await.unwrap();
    let back = "scrollTo({top: arguments[0], behavior: 'instant'})";
    client.execute(back, vec![before]).await.unwrap();
    let found: Vec<Value> = serde_json::from_value(found).unwrap();
    let told = |one: &Value| {
        let first = &one["nodes"][0];
        format!(
            "{}: {} {}",
            one["id"],
            one["nodes"].as_array().unwrap().len(),
            first["html"]
        )
    };
    found.iter().map(told).collect()
}

/// Presses something with the mouse, in view; once more where the page is put anew just then.
pub async fn press(client: &Client, selector: &str) {
    let mut tries = 0;
    loop {
        let found = client
            .wait()
            .at_most(PATIENCE)
            .for_element(Locator::Css(selector))
            .await;
        let found = found.unwrap_or_else(|why| panic!("{selector}: {why}"));
        let scroll = "document.querySelector(arguments[0])?.scrollIntoView({block: 'center', behavior: 'instant'})";
        client.execute(scroll, vec![selector.into()]).await.unwrap();
        match found.click().await {
            Ok(()) => return,
            Err(why) if tries < 5 && why.to_string().contains("stale") => tries += 1,
            Err(why) => panic!("{selector}: {why}"),
        }
    }
}

/// Waits until the page says something.
pub async fn says(client: &Client, words: &str) {
    let has = "return document.body.innerText.includes(arguments[0])";
    let mut waited = Duration::ZERO;
    while waited < PATIENCE {
        let found = client.execute(has, vec![words.into()]).await;
        if found.is_ok_and(|found| found == true) {
            return;
        }
        let pause = Duration::from_millis(100);
        tokio::time::sleep(pause).await;
        waited += pause;
    }
    let source = client
        .execute("return document.body.innerText", Vec::new())
        .await;
    panic!("the page does not say `{words}`: {source:?}");
}

/// Waits until the notebook has a reading of this number.
pub async fn noted(client: &Client, number: usize) {
    let selector = format!(".notebook input[value='{number}']");
    let found = client
        .wait()
        .at_most(PATIENCE)
        .for_element(Locator::Css(&selector))
        .await;
    found.unwrap_or_else(|why| panic!("{selector}: {why}"));
}

/// Waits until nothing on the page is found so any more.
pub async fn gone(client: &Client, selector: &str) {
    let is_there = "return document.querySelector(arguments[0]) !== null";
    let mut waited = Duration::ZERO;
    while client
        .execute(is_there, vec![selector.into()])
        .await
        .unwrap()
        == true
    {
        assert!(waited < PATIENCE, "{selector} stays");
        let pause = Duration::from_millis(50);
        tokio::time::sleep(pause).await;
        waited += pause;
    }
}

/// Waits until what was asked for is there and stands still.
pub async fn settled(client: &Client) {
    gone(client, ".htmx-request, .htmx-swapping, .htmx-settling").await;
    // A page scrolls to a place smoothly, where nobody minds.
    let at = "return scrollY";
    let mut before = Value::Null;
    loop {
        let now = client.execute(at, Vec::new()).await.unwrap();
        if now == before {
            return;
        }
        before = now;
        tokio::time::sleep(Duration::from_millis(150)).await;
    }
}

/// Goes on with the Tab key until something has the focus.
pub async fn tab_to(client: &Client, selector: &str) {
    let there = "return document.activeElement.matches(arguments[0])";
    for _ in 0..600 {
        if client.execute(there, vec![selector.into()]).await.unwrap() == true {
            return;
        }
        keys(client, "\u{e004}").await;
    }
    panic!("the Tab key does not come to {selector}");
}

pub async fn keys(client: &Client, typed: &str) {
    let focus = client.active_element().await.unwrap();
    focus.send_keys(typed).await.unwrap();
}
