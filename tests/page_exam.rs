//! An examination in Debian's chromium, over TLS: two candidates and whoever looks after them, each at a browser of
//! their own, and the program killed in the middle.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::net::TcpListener;

use coldtrail_checks::folder::Folder;
use coldtrail_checks::room::{PASSWORD, code_of};
use coldtrail_checks::sitting::FORM;
use fantoccini::{Client, Locator};
use runner::invigilate::proctor;
use runner::records::Office;

use crate::browser::{Driver, keys, noted, pictured, press, says, tab_to, unmet};
use crate::served::Served;

const FILE: &str = "short.toml";

/// Where a room is opened, once more after it was killed.
struct Place {
    folder: Folder,
    port: u16,
}

impl Place {
    fn new() -> Self {
        let folder = Folder::new();
        drop(Office::create(folder.path()).unwrap());
        proctor::set(folder.path(), PASSWORD).unwrap();
        std::fs::write(folder.path().join(FILE), FORM).unwrap();
        // A port that is free now is, in all likelihood, free in a moment.
        let port = TcpListener::bind("127.0.0.1:0")
            .unwrap()
            .local_addr()
            .unwrap()
            .port();
        Self { folder, port }
    }

    fn served(&self) -> Served {
        let port = self.port.to_string();
        let records = self.folder.text();
        let form = self.folder.path().join(FILE);
        Served::start(&[
            "--form",
            form.to_str().unwrap(),
            "--network",
            "--listen",
            "127.0.0.1",
            "--port",
            &port,
            "--records",
            records,
        ])
    }

    fn address(&self, path: &str) -> String {
        format!("https://127.0.0.1:{}{path}", self.port)
    }
}

async fn types(client: &Client, selector: &str, text: &str) {
    let field = client.find(Locator::Css(selector)).await.unwrap();
    field.send_keys(text).await.unwrap();
}

/// Comes in with a code, and begins.
async fn begins(client: &Client, place: &Place, code: &str) {
    client.goto(&place.address("/")).await.unwrap();
    types(client, "#code", code).await;
    press(client, "form button").await;
    says(client, "The clock on the wall starts when you begin").await;
    press(client, "#begin").await;
    says(client, "Work order").await;
}

#[test]
fn an_examination_with_two_candidates_and_a_proctor() {
    let Some(driver) = Driver::start() else {
        return;
    };
    let place = Place::new();
    let served = place.served();
    assert!(
        served.said.contains("SHA-256 of its certificate"),
        "{}",
        served.said
    );
    let runtime = tokio::runtime::Builder::new_current_thread();
    let runtime = { runtime }.enable_all().build().unwrap();
    runtime.block_on(async {
        let proctor = driver.window((2560, 1440), &[]).await;
        proctor.goto(&place.address("/room")).await.unwrap();
        says(&proctor, "Password").await;
        assert_eq!(unmet(&proctor).await, Vec::<String>::new());
        types(&proctor, "#password", PASSWORD).await;
        press(&proctor, "form button").await;
        says(&proctor, "Nobody is put down yet").await;
        types(&proctor, "#names", "Ada Quill\nBo Marsh").await;
        press(&proctor, "form[action='/room/people'] button").await;
        says(&proctor, "not begun").await;
        // Codes stand on slips of paper, and not in the table that a class may see on the wall.
        proctor.goto(&place.address("/room/codes")).await.unwrap();
        says(&proctor, "Bo Marsh").await;
        let page = proctor.source().await.unwrap();
        proctor.goto(&place.address("/room")).await.unwrap();
        says(&proctor, "not begun").await;
        assert!(!proctor.source().await.unwrap().contains("class=\"code\""));
        let codes = ["Ada Quill", "Bo Marsh"].map(|name| code_of(&page, name));

        // Ada works with a mouse, at a laptop.
        let ada = driver.window((1280, 1000), &[]).await;
        ada.goto(&place.address("/")).await.unwrap();
        assert_eq!(unmet(&ada).await, Vec::<String>::new());
        pictured(&ada, "exam-door").await;
        begins(&ada, &place, &codes[0]).await;
        press(&ada, ".controls button[value='engine idle']").await;
        says(&ada, "rpm, A/C off").await;
        // What she does is seen without anybody asking.
        says(&proctor, "engine idle").await;
        pictured(&ada, "exam-car").await;
        assert_eq!(unmet(&ada).await, Vec::<String>::new());

        // Bo works with a keyboard alone, on a telephone's width.
        let bo = driver
            .window((360, 740), &["--blink-settings=preferredColorScheme=0"])
            .await;
        bo.goto(&place.address("/")).await.unwrap();
        tab_to(&bo, "#code").await;
        keys(&bo, &format!("{}\u{e007}", codes[1])).await;
        says(&bo, "The clock on the wall starts when you begin").await;
        pictured(&bo, "exam-rules-narrow").await;
        tab_to(&bo, "#begin").await;
        keys(&bo, "\u{e007}").await;
        says(&bo, "Work order").await;
        tab_to(&bo, "#words").await;
        keys(&bo, "look fuse\u{e007}").await;
        noted(&bo, 1).await;
        says(&proctor, "look fuse").await;
        assert_eq!(unmet(&proctor).await, Vec::<String>::new());
        pictured(&proctor, "exam-room").await;

        // Killed in the middle, and started again.
        served.kill();
        press(&ada, ".controls button[value='ac on']").await;
        says(&ada, "The page does not answer").await;
        let served = place.served();
        press(&ada, ".controls button[value='ac on']").await;
        let pressed = ".controls button[value='ac on'][aria-pressed='true']";
        ada.wait().for_element(Locator::Css(pressed)).await.unwrap();
        tab_to(&bo, "#words").await;
        keys(&bo, "thermometer centre-vent\u{e007}").await;
        noted(&bo, 2).await;
        says(&proctor, "thermometer centre-vent").await;

        // Ada concludes, leaves what comes, and hands in; Bo's code lets him in again, elsewhere.
        press(&ada, "#fault option[value='no-fault']").await;
        press(&ada, "#conclude > button").await;
        says(&ada, "Is that your conclusion?").await;
        press(&ada, "#surely-so").await;
        says(&ada, "Without giving it back").await;
        for task in 2..=4 {
            press(&ada, "#leaving summary").await;
            press(&ada, "#leaving button").await;
            let words = match task {
                4 => "All tasks have been done or left".to_owned(),
                task => format!("Task {task} of 3"),
            };
            says(&ada, &words).await;
            if task == 2 {
                assert_eq!(unmet(&ada).await, Vec::<String>::new());
                pictured(&ada, "exam-question").await;
            }
        }
        press(&ada, "#hand-in").await;
        says(&ada, "It is being marked").await;
        says(&proctor, "handed in, being marked").await;
        let elsewhere = driver.window((800, 900), &[]).await;
        elsewhere.goto(&place.address("/")).await.unwrap();
        types(&elsewhere, "#code", &codes[1]).await;
        press(&elsewhere, "form button").await;
        noted(&elsewhere, 2).await;

        // Marked, she is told, and so is whoever looks after her.
        says(&ada, "What it came to").await;
        says(&ada, "Not passed").await;
        pictured(&ada, "exam-over").await;
        says(&proctor, "not passed, ").await;
        proctor.goto(&place.address("/room/tasks")).await.unwrap();
        says(&proctor, "worth a look").await;
        pictured(&proctor, "exam-tasks").await;
        proctor
            .goto(&place.address("/room/cases/edit"))
            .await
            .unwrap();
        says(&proctor, "Look for mistakes").await;
        types(&proctor, "#text", "nonsense = 1\n").await;
        press(&proctor, "button[value='look']").await;
        says(&proctor, "to put right").await;
        assert_eq!(unmet(&proctor).await, Vec::<String>::new());
        pictured(&proctor, "workbench").await;
        for window in [ada, bo, elsewhere, proctor] {
            window.close().await.unwrap();
        }
        drop(served);
    });
    let office = Office::open(place.folder.path(), None).unwrap();
    assert!(office.verify().unwrap().is_clean());
}
