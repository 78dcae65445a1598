//! One journey's stage: a copy of the site, the front end on it, and the waiting that every step
//! does: for what is to be seen, never for a time.

use std::future::Future;
use std::path::PathBuf;
use std::time::Duration;

use crate::driver::{Driver, Front};
use crate::page::Page;
use crate::process::{Running, built, command};
use crate::site::{self, Person};

/// Far longer than anything takes here, also on a machine that builds beside it.
const PATIENCE: Duration = Duration::from_secs(60);

/// Between two looks.
const PAUSE: Duration = Duration::from_millis(40);

/// Looks again and again until there is something; what was lacking is said when patience ends.
pub(crate) async fn until<T, F>(what: &str, mut look: impl FnMut() -> F) -> T
where
    F: Future<Output = Result<T, String>>,
{
    let mut lacking = String::new();
    let looking = async {
        loop {
            match look().await {
                Ok(found) => return found,
                Err(not_yet) => lacking = not_yet,
            }
            tokio::time::sleep(PAUSE).await;
        }
    };
    let found = tokio::time::timeout(PATIENCE, looking).await.ok();
    found.unwrap_or_else(|| panic!("there was no {what}; last seen: {lacking}"))
}

/// A journey under way.
pub(crate) struct Stage {
    front: Front,
    /// The demo's folder, this journey's own.
    pub(crate) demo: PathBuf,
    server: Option<Running>,
    driver: Option<Driver>,
    pub(crate) page: Page,
}

impl Stage {
    /// The front end on a copy of the site; the folder is still closed.
    pub(crate) async fn closed(name: &str, front: Front) -> Self {
        Self::closed_later(name, front, 0).await
    }

    /// The same, so many minutes after the end of the story.
    async fn closed_later(name: &str, front: Front, minutes: u64) -> Self {
        let name = format!("{name}-{front:?}").to_lowercase();
        let demo = site::copied(&name);
        site::pass(&demo, minutes);
        let (server, driver) = match front {
            Front::Browser => {
                let (server, address) = serve(&demo);
                let driver = Driver::browser(demo.parent().unwrap()).await;
                driver.client.goto(&address).await.unwrap();
                (Some(server), driver)
            }
            Front::Window => (None, Driver::window(&demo).await),
        };
        let page = Page::new(driver.client.clone());
        Self { front, demo, server, driver: Some(driver), page }
    }

    /// The folder is opened by its passphrase, and the list of people stands there.
    pub(crate) async fn open(name: &str, front: Front) -> Self {
        let stage = Self::closed(name, front).await;
        stage.unlock().await;
        stage
    }

    /// The folder is opened so many minutes after the end of the story.
    pub(crate) async fn open_later(name: &str, front: Front, minutes: u64) -> Self {
        let stage = Self::closed_later(name, front, minutes).await;
        stage.unlock().await;
        stage
    }

    /// Types the passphrase key by key.
    pub(crate) async fn unlock(&self) {
        let page = &self.page;
        page.heading("Open the logbook").await;
        page.press("textbox", "Passphrase of this folder").await;
        page.keys(site::passphrase()).await;
        page.press("button", "Open").await;
        page.heading("Who acts").await;
    }

    /// Takes the tablet: the name, the role where there are several, the PIN key by key.
    pub(crate) async fn act_as(&self, person: &Person, role: &str) {
        let page = &self.page;
        page.heading("Who acts").await;
        page.press_beginning("button", person.name).await;
        page.heading(person.name).await;
        let action = format!("Act as {role}");
        // Whoever has several roles says which.
        page.press_if_there("button", role).await;
        page.keys(person.pin).await;
        page.press("button", &action).await;
        page.see(person.name).await;
        page.no_heading("Who acts").await;
    }

    /// Kills the program that holds the logbook, as a power cut does, and starts it again.
    pub(crate) async fn kill_and_start(&mut self) {
        match self.front {
            Front::Browser => {
                self.server.take().unwrap().kill();
                let (server, address) = serve(&self.demo);
                self.server = Some(server);
                self.page.client.goto(&address).await.unwrap();
            }
            Front::Window => {
                // Gone before the next one starts: it is known by the same folder.
                drop(self.driver.take());
                let driver = Driver::window(&self.demo).await;
                self.page = Page::new(driver.client.clone());
                self.driver = Some(driver);
            }
        }
    }
}

/// Starts `dishwright serve` on a demo's folder and gives the address that it printed.
fn serve(demo: &std::path::Path) -> (Running, String) {
    let program = built("DISHWRIGHT_PROGRAM", "dishwright");
    let mut start = command(program, &["serve", "--demo", demo.to_str().unwrap()]);
    let mut server = Running::start(start.env_remove("DISHWRIGHT_DATA"));
    let address = server.line(|line| line.starts_with("http://").then(|| line.to_owned()));
    (server, address)
}
