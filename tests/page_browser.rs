//! The page in Debian's chromium: a practice session by mouse and one by keyboard, the connection lost and back, and
//! what axe-core finds. Pictures of the screens are in `target/tmp/screens`.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::net::SocketAddr;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use coldtrail_checks::folder::Folder;
use coldtrail_checks::tours;
use fantoccini::{Client, Locator};
use runner::cache::TourCache;
use runner::page::practice::{Page, router};
use scenarios::Bank;

use crate::browser::{Driver, gone, keys, noted, pictured, press, says, settled, tab_to, unmet};

/// The page, open on a folder; closed at once when it is dropped, with all it has in memory.
struct Open {
    at: SocketAddr,
    runtime: Option<tokio::runtime::Runtime>,
}

impl Open {
    fn new(folder: &Path, port: u16) -> Self {
        let listener = std::net::TcpListener::bind(("127.0.0.1", port)).unwrap();
        listener.set_nonblocking(true).unwrap();
        let at = listener.local_addr().unwrap();
        let page = Page::new(
            Bank::builtin().unwrap(),
            folder.to_owned(),
            TourCache::new(Some(tours::folder())),
            at,
        )
        .unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .enable_all()
            .build()
            .unwrap();
        let router = router(Arc::new(page));
        runtime.spawn(async move {
            let listener = tokio::net::TcpListener::from_std(listener).unwrap();
            axum::serve(listener, router).await.unwrap();
        });
        Self {
            at,
            runtime: Some(runtime),
        }
    }

    fn address(&self) -> String {
        format!("http://{}/", self.at)
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_background();
        }
    }
}

/// Has a browser do something; nothing where none is installed.
fn in_a_browser<F: Future<Output = ()>>(
    size: (u32, u32),
    flags: &[&str],
    does: impl FnOnce(Client, Open, Folder) -> F,
) {
    let Some(driver) = Driver::start() else {
        return;
    };
    let folder = Folder::new();
    let open = Open::new(folder.path(), 0);
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let client = runtime.block_on(driver.window(size, flags));
    let tried = catch_unwind(AssertUnwindSafe(|| {
        runtime.block_on(async {
            client.goto(&open.address()).await.unwrap();
            does(client.clone(), open, folder).await;
        });
    }));
    // A window that nobody closes outlives the test.
    let closed = runtime.block_on(client.close());
    tried.unwrap_or_else(|why| resume_unwind(why));
    closed.unwrap();
}

/// What a folder's one session is of, a line each.
fn done(folder: &Folder) -> Vec<String> {
    let files = std::fs::read_dir(folder.path()).unwrap();
    let mut files = files.map(|file| file.unwrap().path());
    let file = files.find(|file| file.extension().is_some_and(|one| one == "session"));
    let text = std::fs::read_to_string(file.unwrap()).unwrap();
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.map(str::to_owned).collect()
}

const CASE: &str = "button[value='freezes-on-long-trips']";

#[test]
fn a_session_by_mouse_to_its_debrief() {
    in_a_browser((1280, 1000), &[], async |client, _open, folder| {
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        pictured(&client, "first-page").await;
        client
            .find(Locator::Css("#seed"))
            .await
            .unwrap()
            .send_keys("1")
            .await
            .unwrap();
        press(&client, CASE).await;
        says(&client, "Work order").await;
        pictured(&client, "bay-at-first").await;
        press(&client, "a[href*='at=clutch-hub'] .label").await;
        press(&client, "button[value='look clutch-hub']").await;
        says(&client, "look at the clutch hub").await;
        for control in ["engine 1500 rpm", "ac on", "blower 4"] {
            press(&client, &format!(".controls button[value='{control}']")).await;
            noted_engine(&client, control).await;
        }
        says(&client, "Temperatures and moving air").await;
        press(&client, "#kind-3 > summary").await;
        press(&client, ".tray button[value='thermometer centre-vent']").await;
        noted(&client, 2).await;
        // What was open stays open.
        press(&client, ".tray button[value='hygrometer outside']").await;
        noted(&client, 3).await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        pictured(&client, "bay-at-work").await;
        press(&client, "#suspect option[value='no-fault']").await;
        press(&client, ".suspects form button").await;
        there(&client, ".suspects li meter[value='50']").await;
        press(&client, "input[name='because'][value='2']").await;
        press(&client, "#fault option[value='no-fault']").await;
        // What was ticked and chosen stands through whatever else is done.
        press(&client, ".controls button[value='engine idle']").await;
        noted_engine(&client, "engine idle").await;
        press(&client, "#conclude > button").await;
        says(&client, "Is that your conclusion?").await;
        pictured(&client, "conclusion").await;
        press(&client, "#surely-so").await;
        says(&client, "Repair it, or see the debrief").await;
        press(&client, ".end form[action$='/debrief'] button").await;
        says(&client, "What your readings prove").await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        pictured(&client, "debrief").await;
        let last = done(&folder).pop().unwrap();
        assert_eq!(last, "conclude no-fault because 2");
    });
}

/// Presses something, and waits until the car has so many steps behind it.
async fn does(client: &Client, selector: &str, steps: usize) {
    press(client, selector).await;
    there(client, &format!("input[name='steps'][value='{steps}']")).await;
}

#[test]
fn a_part_is_changed_by_mouse_with_no_action_typed() {
    in_a_browser((1280, 1000), &[], async |client, _open, folder| {
        // The counter's letters go by the seed.
        let seed = client.find(Locator::Css("#seed")).await.unwrap();
        seed.send_keys("1").await.unwrap();
        press(&client, CASE).await;
        says(&client, "Work order").await;
        press(&client, "#fault option[value='no-fault']").await;
        press(&client, "#conclude > button").await;
        does(&client, "#surely-so", 1).await;
        let tray = "for (const one of document.querySelectorAll('details[id]')) one.open = true";
        client.execute(tray, Vec::new()).await.unwrap();
        let work = "wear glasses, wear gloves, ventilation on, service-data, recover 30 min, remove drier, compare drier";
        for (words, steps) in work.split(", ").zip(2..) {
            does(&client, &format!(".tray button[value='{words}']"), steps).await;
        }
        there(&client, ".tray button[value='remove drier']:disabled").await;
        // What opens the loop or presses it says so before: loosen, remove, seal, press.
        let cautions = client.find_all(Locator::Css(".tray .heed")).await.unwrap();
        assert_eq!(cautions.len(), 4);
        // A fold that is opened again has lost the focus: it is put back to what was pressed.
        let focus = client.active_element().await.unwrap();
        assert_eq!(focus.attr("id").await.unwrap().unwrap(), "do-compare-1");
        pictured(&client, "bench").await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        let size = "#sheet-seal-drier-kind option[value='7.6 x 1.8 mm']";
        press(&client, size).await;
        does(&client, "#sheet-seal-drier-do", 9).await;
        says(&client, "New seals are laid ready.").await;
        does(&client, "#bench-drier-B", 10).await;
        // A comma is a point to those who write it so.
        for (sheet, amount, steps) in [("torque-drier", "18,5", 11), ("wait", "45", 12)] {
            let blank = format!("#sheet-{sheet}-amount");
            let blank = client.find(Locator::Css(&blank)).await.unwrap();
            blank.send_keys(amount).await.unwrap();
            does(&client, &format!("#sheet-{sheet}-do"), steps).await;
        }
        says(&client, "its joints are made to 18 N m").await;
        press(&client, "#hand-over > summary").await;
        press(&client, "#do-hand-over").await;
        says(&client, "The car is given back").await;
        let last =
            "seal drier 7.6 x 1.8 mm, fit drier B, torque drier 18.5 N m, wait 2700 s, hand-over";
        assert_eq!(done(&folder)[8..].join(", "), last);
    });
}

/// Waits until something is on the page.
async fn there(client: &Client, selector: &str) {
    let found = client.wait().at_most(crate::browser::PATIENCE);
    let found = found.for_element(Locator::Css(selector)).await;
    found.unwrap_or_else(|why| panic!("{selector}: {why}"));
}

/// Waits until a control is set so.
async fn noted_engine(client: &Client, control: &str) {
    let pressed = format!(".controls button[value='{control}'][aria-pressed='true']");
    there(client, &pressed).await;
}

/// Whether every pointer has its middle on its dial, once it has come to rest.
const POINTERS_ON_DIALS: &str = "return [...document.querySelectorAll('.dials svg')].map(dial => { \
    const [rim, tip] = ['.rim', '.pointer'].map(part => dial.querySelector(part).getBoundingClientRect()); \
    return tip.left >= rim.left && tip.right <= rim.right && tip.top >= rim.top && tip.bottom <= rim.bottom; })";

/// Does something in one's own words.
async fn says_and_does(client: &Client, words: &str) {
    let fill = "document.querySelector('#words').value = arguments[0]";
    client.execute(fill, vec![words.into()]).await.unwrap();
    press(client, "#do-words").await;
}

#[test]
fn a_pointer_that_moved_rests_on_its_dial() {
    in_a_browser((1280, 1000), &[], async |client, _open, _folder| {
        press(&client, CASE).await;
        says(&client, "Work order").await;
        let steps = "wear glasses, wear gloves, gauges connect, gauges open, gauges read, engine idle, ac on, wait 2 min";
        for (number, words) in (1..).zip(steps.split(", ")) {
            says_and_does(&client, words).await;
            there(&client, &format!("input[name='steps'][value='{number}']")).await;
        }
        says_and_does(&client, "gauges read").await;
        noted(&client, 4).await;
        let moving = "return document.getAnimations().length";
        assert_eq!(client.execute(moving, Vec::new()).await.unwrap(), 2);
        let still = "const done = arguments[arguments.length - 1]; \
            Promise.all(document.getAnimations().map(one => one.finished)).then(() => done(true))";
        client.execute_async(still, Vec::new()).await.unwrap();
        let on = client.execute(POINTERS_ON_DIALS, Vec::new()).await.unwrap();
        assert_eq!(on, serde_json::json!([true, true]));
        let show = "document.querySelector('.dials').scrollIntoView({block: 'center', behavior: 'instant'})";
        client.execute(show, Vec::new()).await.unwrap();
        pictured(&client, "gauges").await;
    });
}

#[test]
fn gauges_that_are_watched_move_by_themselves_until_somebody_stops() {
    in_a_browser((1280, 1000), &[], async |client, _open, folder| {
        press(&client, CASE).await;
        says(&client, "Work order").await;
        let steps =
            "wear glasses, wear gloves, gauges connect, gauges open, engine idle, ac on, blower 4";
        for (number, words) in (1..).zip(steps.split(", ")) {
            says_and_does(&client, words).await;
            there(&client, &format!("input[name='steps'][value='{number}']")).await;
        }
        // Ten looks; nothing is pressed between the first and the fourth.
        press(&client, ".watch button[value='10']").await;
        noted(&client, 8).await;
        pictured(&client, "watching").await;
        let moving = "return document.getAnimations().length";
        assert_eq!(client.execute(moving, Vec::new()).await.unwrap(), 2);
        press(&client, "#watch-stop").await;
        gone(&client, "#watch-stop").await;
        let looked = done(&folder).len();
        // Opened anew, too, a page lets no time pass: one that watched on would look within a second and a half.
        client.refresh().await.unwrap();
        tokio::time::sleep(Duration::from_secs(3)).await;
        let done = done(&folder);
        assert_eq!(done.len(), looked);
        assert!(done.len() < 7 + 20, "{done:?}");
        let looks: Vec<&str> = done.iter().skip(7).map(String::as_str).collect();
        assert!(
            looks
                .chunks(2)
                .all(|look| look == ["wait 20 s", "gauges read"]),
            "{looks:?}"
        );
    });
}

/// Where something is on the screen, px from its top.
const TOP: &str = "return document.querySelector(arguments[0]).getBoundingClientRect().top";

#[test]
fn what_is_pressed_stays_under_the_finger() {
    in_a_browser((1280, 700), &[], async |client, _open, _folder| {
        press(&client, CASE).await;
        says(&client, "Work order").await;
        let steps = "wear glasses, wear gloves, gauges connect";
        for (number, words) in (1..).zip(steps.split(", ")) {
            says_and_does(&client, words).await;
            there(&client, &format!("input[name='steps'][value='{number}']")).await;
        }
        // Dials come where there were none, above the car.
        press(&client, "a[href*='at=low-port'] .label").await;
        says(&client, "gauges open").await;
        settled(&client).await;
        let button = "#at button[value='gauges open']";
        let scroll = "document.querySelector(arguments[0]).scrollIntoView({block: 'center', behavior: 'instant'})";
        client.execute(scroll, vec![button.into()]).await.unwrap();
        let before = client.execute(TOP, vec![button.into()]).await.unwrap();
        press(&client, button).await;
        let dials = client.wait().at_most(crate::browser::PATIENCE);
        dials.for_element(Locator::Css(".dials")).await.unwrap();
        settled(&client).await;
        let after = client.execute(TOP, vec![button.into()]).await.unwrap();
        let moved = after.as_f64().unwrap() - before.as_f64().unwrap();
        assert!(moved.abs() < 2.0, "{moved} px");
    });
}

/// By how much a page is wider than its screen, px.
const WIDER: &str =
    "return document.documentElement.scrollWidth - document.documentElement.clientWidth";

#[test]
fn a_session_by_keyboard_on_a_narrow_dark_screen() {
    let flags = ["--blink-settings=preferredColorScheme=0"];
    in_a_browser((360, 740), &flags, async |client, _open, folder| {
        // One of several that exclude each other: the arrow keys choose.
        tab_to(&client, "input[name='units']").await;
        keys(&client, "\u{e014}").await;
        tab_to(&client, "#seed").await;
        keys(&client, "1").await;
        tab_to(&client, CASE).await;
        keys(&client, "\u{e007}").await;
        says(&client, "Work order").await;
        tab_to(&client, "a[href*='at=clutch-hub']").await;
        keys(&client, "\u{e007}").await;
        tab_to(&client, "button[value='look clutch-hub']").await;
        keys(&client, "\u{e007}").await;
        noted(&client, 1).await;
        pictured(&client, "bay-narrow").await;
        tab_to(&client, "#words").await;
        keys(&client, "thermometer centre-vent\u{e007}").await;
        noted(&client, 2).await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        let wide = client.execute(WIDER, Vec::new()).await.unwrap();
        assert_eq!(wide, 0, "it does not fit the screen");
        // How sure one is, by the arrow keys; a fault by its first letters; a reading by the space bar.
        tab_to(&client, "#suspect").await;
        keys(&client, "nothing").await;
        tab_to(&client, "#percent").await;
        keys(&client, "\u{e014}\u{e014}").await;
        tab_to(&client, ".suspects button").await;
        keys(&client, "\u{e007}").await;
        there(&client, ".suspects li meter[value='60']").await;
        tab_to(&client, "input[name='because'][value='1']").await;
        keys(&client, " ").await;
        tab_to(&client, "#fault").await;
        keys(&client, "nothing").await;
        tab_to(&client, "#conclude > button").await;
        keys(&client, "\u{e007}").await;
        says(&client, "Is that your conclusion?").await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        tab_to(&client, "#surely-so").await;
        keys(&client, "\u{e007}").await;
        says(&client, "Repair it, or see the debrief").await;
        tab_to(&client, ".end button").await;
        keys(&client, "\u{e007}").await;
        says(&client, "What your readings prove").await;
        assert_eq!(unmet(&client).await, Vec::<String>::new());
        pictured(&client, "debrief-narrow").await;
        let wide = client.execute(WIDER, Vec::new()).await.unwrap();
        assert_eq!(wide, 0, "the debrief does not fit the screen");
        assert_eq!(
            done(&folder),
            [
                "look clutch-hub",
                "thermometer centre-vent",
                "suspect no-fault 60 %",
                "conclude no-fault because 1",
            ]
        );
    });
}

#[test]
fn a_connection_that_is_lost_comes_back_with_nothing_lost() {
    in_a_browser((1280, 1000), &[], async |client, open, folder| {
        client
            .find(Locator::Css("#seed"))
            .await
            .unwrap()
            .send_keys("1")
            .await
            .unwrap();
        press(&client, CASE).await;
        press(&client, "a[href*='at=belt'] .label").await;
        press(&client, "button[value='look belt']").await;
        noted(&client, 1).await;
        let port = open.at.port();
        drop(open);
        press(&client, "button[value='engine idle']").await;
        says(&client, "The page does not answer").await;
        pictured(&client, "gone").await;
        let open = Open::new(folder.path(), port);
        press(&client, "button[value='engine idle']").await;
        says(&client, "850 rpm").await;
        says(&client, "look at the belt").await;
        assert_eq!(done(&folder), ["look belt", "engine idle"]);
        drop(open);
    });
}
