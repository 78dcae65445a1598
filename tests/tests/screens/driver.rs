//! A browser or the window, under the driver that belongs to it, and where each draws.

use std::net::TcpListener;
use std::path::{Path, PathBuf};

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Map, Value, json};

use crate::process::{Running, built, command, kill_all_with};
use crate::stage::until;

/// Which front end a journey is made in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Front {
    /// Chromium on `dishwright serve`.
    Browser,
    /// The desktop window.
    Window,
}

/// The driver's process, the display if it needs one, and the session.
pub(crate) struct Driver {
    pub(crate) client: Client,
    /// Only this driver's programs have it among their arguments.
    mark: PathBuf,
    _driver: Running,
    _display: Option<Running>,
}

impl Driver {
    /// A browser with a profile of its own in `folder`.
    pub(crate) async fn browser(folder: &Path) -> Self {
        let mut driver = Running::start(&mut command("chromedriver", &["--port=0"]));
        // "ChromeDriver was started successfully on port 37315."
        let port: u16 = driver.line(|line| {
            line.rsplit_once("successfully on port ")?.1.trim_end_matches('.').parse().ok()
        });
        let profile = folder.join("profile");
        let wanted = json!({
            "goog:chromeOptions": {
                "binary": "/usr/bin/chromium",
                "args": [
                    "--headless=new",
                    // The sandbox refuses to run as root, and these tests open our own page alone.
                    "--no-sandbox",
                    "--disable-gpu",
                    "--disable-dev-shm-usage",
                    "--no-first-run",
                    "--hide-scrollbars",
                    "--force-device-scale-factor=1",
                    "--window-size=1280,800",
                    format!("--user-data-dir={}", profile.display()),
                ],
                "prefs": {
                    "download.default_directory": folder.join("downloads"),
                    "download.prompt_for_download": false,
                },
            },
        });
        let client = connect(port, wanted).await;
        Self { client, mark: profile, _driver: driver, _display: None }
    }

    /// The window on the demo's folder `demo`, on a display of its own.
    pub(crate) async fn window(demo: &Path) -> Self {
        // Xvfb takes the first free display and prints its number.
        let screen = ["-displayfd", "1", "-screen", "0", "2000x1400x24", "-nolisten", "tcp"];
        let mut display = Running::start(&mut command("Xvfb", &screen));
        let number: u32 = display.line(|line| line.parse().ok());
        // WebKitWebDriver has no way to say which port it took.
        let port = TcpListener::bind(("127.0.0.1", 0)).unwrap().local_addr().unwrap().port();
        let mut start = command("WebKitWebDriver", &[&format!("--port={port}")]);
        start.env("DISPLAY", format!(":{number}")).env("TAURI_WEBVIEW_AUTOMATION", "true");
        start.env_remove("WAYLAND_DISPLAY").env("GDK_BACKEND", "x11");
        let driver = Running::start(&mut start);
        let wanted = json!({
            "webkitgtk:browserOptions": {
                "binary": built("DISHWRIGHT_WINDOW", "dishwright-window"),
                "args": ["--demo", demo],
            },
        });
        let client = connect(port, wanted).await;
        Self { client, mark: demo.to_owned(), _driver: driver, _display: Some(display) }
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        // As a power cut does; a driver that is killed leaves what it started behind.
        kill_all_with(&self.mark);
    }
}

async fn connect(port: u16, capabilities: Value) -> Client {
    let capabilities: Map<String, Value> = serde_json::from_value(capabilities).unwrap();
    let address = format!("http://127.0.0.1:{port}");
    until("a session of the driver", || async {
        let mut builder = ClientBuilder::new(HttpConnector::new());
        builder.capabilities(capabilities.clone());
        builder.connect(&address).await.map_err(|error| error.to_string())
    })
    .await
}
