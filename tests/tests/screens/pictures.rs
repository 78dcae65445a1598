//! Pictures of a screen in every size and theme, and what is wrong with it in each.

use std::path::PathBuf;

use serde_json::{Value, json};

use crate::page::Page;
use crate::stage::until;

/// A tablet upright, the same tablet across, a large screen.
const SIZES: [(u32, u32); 3] = [(800, 1280), (1280, 800), (1920, 1080)];

const THEMES: [&str; 2] = ["sun", "dark"];

/// The least side of a target: as the design has it, on a tablet of 150 dpi.
const LEAST_TARGET: u32 = 64;

const AUDIT: &str = include_str!("audit.js");

/// Looks for what keeps people with other senses out: WCAG 2.2 and good practice.
const AXE: &str = "
    const done = arguments[arguments.length - 1];
    axe.run(document, { resultTypes: ['violations'] }).then(
      (results) => done(results.violations.map((one) => ({
        rule: one.id,
        where: one.nodes.map((node) => node.target.join(' ')).slice(0, 5).join(', '),
        what: one.help,
      }))),
      (error) => done([{ rule: 'axe', where: 'the page', what: String(error) }]),
    );
";

/// Where the pictures go.
pub(crate) fn folder() -> PathBuf {
    let folder = std::env::var_os("DISHWRIGHT_PICTURES").map_or_else(
        || PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("screens").join("pictures"),
        PathBuf::from,
    );
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// What was found wrong on any screen, gathered so that one run names everything.
#[derive(Default)]
pub(crate) struct Findings(Vec<String>);

impl Findings {
    /// Looks at the screen that stands there now, in every size and theme.
    pub(crate) async fn look(&mut self, page: &Page, screen: &str) {
        for theme in THEMES {
            set_theme(page, theme).await;
            for (width, height) in SIZES {
                self.look_at(page, screen, (width, height), theme).await;
            }
        }
        set_theme(page, "sun").await;
        resize(page, 1280, 800).await;
    }

    /// Looks at it in a narrow size by sun and in a wide one in the dark: enough for one of many
    /// screens that are made alike.
    pub(crate) async fn glance(&mut self, page: &Page, screen: &str) {
        let [narrow, wide, _] = SIZES;
        set_theme(page, "dark").await;
        self.look_at(page, screen, wide, "dark").await;
        set_theme(page, "sun").await;
        self.look_at(page, screen, narrow, "sun").await;
        resize(page, 1280, 800).await;
    }

    async fn look_at(&mut self, page: &Page, screen: &str, size: (u32, u32), theme: &str) {
        let (width, height) = size;
        resize(page, width, height).await;
        drawn(page).await;
        let name = format!("{screen}-{width}x{height}-{theme}");
        picture(page, &name).await;
        self.take(&name, &page.run(AUDIT, vec![json!(LEAST_TARGET)]).await);
        self.take(&name, &axe(page).await);
    }

    fn take(&mut self, name: &str, list: &Value) {
        for one in list.as_array().unwrap() {
            let part = |key: &str| one[key].as_str().unwrap_or_default().to_owned();
            self.0.push(format!("{name}: {}: {}: {}", part("rule"), part("where"), part("what")));
        }
    }

    /// Nothing was found.
    #[track_caller]
    pub(crate) fn are_none(&self) {
        assert!(self.0.is_empty(), "{} findings:\n{}", self.0.len(), self.0.join("\n"));
    }
}

/// The page's own inner size: what the frame around it takes differs from front end to front end.
async fn resize(page: &Page, width: u32, height: u32) {
    until(&format!("page of {width} × {height} px"), || async {
        let inner = page.run("return [innerWidth, innerHeight]", Vec::new()).await;
        let (outer_width, outer_height) =
            page.client.get_window_size().await.map_err(|error| error.to_string())?;
        let more = |index: usize, outer: u64, wanted: u32| {
            let inner = inner[index].as_u64().unwrap();
            u32::try_from(outer + u64::from(wanted) - inner).unwrap()
        };
        if (&inner[0], &inner[1]) == (&json!(width), &json!(height)) {
            return Ok(());
        }
        let (w, h) = (more(0, outer_width, width), more(1, outer_height, height));
        page.client.set_window_size(w, h).await.map_err(|error| error.to_string())?;
        Err(inner.to_string())
    })
    .await;
}

/// By the button that a person would press.
async fn set_theme(page: &Page, theme: &str) {
    let now = page.run("return document.documentElement.dataset.theme", Vec::new()).await;
    if now != theme {
        let word = if theme == "dark" { "Dark" } else { "Sun" };
        page.press("button", word).await;
    }
}

/// Waits until fonts are there and what changed is drawn.
async fn drawn(page: &Page) {
    let script = "
        const done = arguments[arguments.length - 1];
        document.fonts.ready.then(() => requestAnimationFrame(() => requestAnimationFrame(() => done(true))));
    ";
    page.client.execute_async(script, Vec::new()).await.unwrap();
}

/// Saves a picture of what stands there.
pub(crate) async fn picture(page: &Page, name: &str) {
    let bytes = page.client.screenshot().await.unwrap();
    std::fs::write(folder().join(format!("{name}.png")), bytes).unwrap();
}

async fn axe(page: &Page) -> Value {
    if page.run("return typeof axe", Vec::new()).await == "undefined" {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../ui/node_modules/axe-core/axe.min.js");
        let source = std::fs::read_to_string(path).unwrap_or_else(|error| {
            panic!("{path} can't be read ({error}); `cargo xtask ui` installs it")
        });
        page.run(&source, Vec::new()).await;
        let there = page.run("return typeof axe", Vec::new()).await;
        assert_eq!(there, "object", "axe is in the page");
    }
    page.client.execute_async(AXE, Vec::new()).await.unwrap()
}
