//! The page as a person meets it: things are found by their role and the name that is read out,
//! keys are pressed one by one, and a click lands where the thing is.

use std::collections::BTreeMap;

use fantoccini::actions::{
    InputSource as _, KeyAction, KeyActions, MOUSE_BUTTON_LEFT, MouseActions, PointerAction,
};
use fantoccini::elements::{Element, ElementRef};
use fantoccini::error::CmdError;
use fantoccini::key::Key;
use fantoccini::{Client, Locator};
use serde_json::{Value, json};

use crate::stage::until;

/// Finds what is shown with a role and a name; `find.js` says how.
const FIND: &str = include_str!("find.js");

/// Under this key a driver hands over an element (WebDriver, 12.1).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// How a name is compared.
#[derive(Clone, Copy)]
enum Named<'a> {
    Whole(&'a str),
    Beginning(&'a str),
}

/// The page that a journey is on.
#[derive(Clone)]
pub(crate) struct Page {
    pub(crate) client: Client,
}

impl Page {
    pub(crate) fn new(client: Client) -> Self {
        Self { client }
    }

    async fn all(&self, role: &str, named: Named<'_>) -> Result<Vec<Element>, CmdError> {
        let (name, whole) = match named {
            Named::Whole(name) => (name, true),
            Named::Beginning(name) => (name, false),
        };
        let found = self.client.execute(FIND, vec![json!(role), json!(name), json!(whole)]).await?;
        let ids: Vec<BTreeMap<String, String>> = serde_json::from_value(found).unwrap_or_default();
        let element = |id: &String| {
            Element::from_element_id(self.client.clone(), ElementRef::from(id.clone()))
        };
        Ok(ids.iter().filter_map(|one| one.get(ELEMENT)).map(element).collect())
    }

    async fn one(&self, role: &str, named: Named<'_>) -> Result<Element, String> {
        let mut found = self.all(role, named).await.map_err(|error| error.to_string())?;
        match (found.pop(), found.len()) {
            (Some(element), 0) => Ok(element),
            (_, more) => Err(format!(
                "{} of them; the page: {}",
                more + usize::from(more > 0),
                self.text().await
            )),
        }
    }

    /// Waits for the one thing with this role and name.
    pub(crate) async fn find(&self, role: &str, name: &str) -> Element {
        let what = format!("{role} “{name}”");
        until(&what, || self.one(role, Named::Whole(name))).await
    }

    async fn click(&self, role: &str, named: Named<'_>) {
        let (Named::Whole(name) | Named::Beginning(name)) = named;
        let what = format!("{role} “{name}” that a click reaches");
        until(&what, || async {
            let element = self.one(role, named).await?;
            // What is drawn anew between finding and clicking is found again.
            self.touch(&element).await.map_err(|error| error.to_string())
        })
        .await;
    }

    /// Scrolls to it as a person does, since the window's driver does so for the page alone, and
    /// clicks. A part of a drawing is touched in its middle: that driver has no click for it.
    async fn touch(&self, element: &Element) -> Result<(), CmdError> {
        let script = "
            const [element] = arguments;
            element.scrollIntoView({ block: 'nearest' });
            const box = element.getBoundingClientRect();
            const [x, y] = [box.left + box.width / 2, box.top + box.height / 2].map(Math.round);
            const hit = document.elementFromPoint(x, y);
            return element instanceof SVGElement && element.contains(hit) ? [x, y] : null;
        ";
        let middle = self.client.execute(script, vec![serde_json::to_value(element)?]).await?;
        let Ok((x, y)) = serde_json::from_value::<(i32, i32)>(middle) else {
            return element.click().await;
        };
        let pointer = MouseActions::new("mouse".to_owned())
            .then(PointerAction::MoveTo { duration: None, x: x.into(), y: y.into() })
            .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
            .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        self.client.perform_actions(pointer).await
    }

    /// Clicks the one thing with this role and name.
    pub(crate) async fn press(&self, role: &str, name: &str) {
        self.click(role, Named::Whole(name)).await;
    }

    /// Clicks the one thing with this role whose name begins so.
    pub(crate) async fn press_beginning(&self, role: &str, name: &str) {
        self.click(role, Named::Beginning(name)).await;
    }

    /// Clicks the last of several with this role and name.
    pub(crate) async fn press_last(&self, role: &str, name: &str) {
        until(&format!("{role} “{name}”"), || async {
            let found = self.all(role, Named::Whole(name)).await;
            let last = found.map_err(|error| error.to_string())?.pop().ok_or("none of them")?;
            self.touch(&last).await.map_err(|error| error.to_string())
        })
        .await;
    }

    /// Clicks it if it is there now.
    pub(crate) async fn press_if_there(&self, role: &str, name: &str) {
        if let Ok(element) = self.one(role, Named::Whole(name)).await {
            element.click().await.unwrap();
        }
    }

    /// Waits until the screen with this title stands there.
    pub(crate) async fn heading(&self, name: &str) {
        self.find("heading", name).await;
    }

    /// Waits until the screen with this title is left.
    pub(crate) async fn no_heading(&self, name: &str) {
        until(&format!("other screen than “{name}”"), || async {
            match self.one("heading", Named::Whole(name)).await {
                Ok(_) => Err(self.text().await),
                Err(_) => Ok(()),
            }
        })
        .await;
    }

    /// Waits until the field with this label has the keyboard.
    pub(crate) async fn focused(&self, label: &str) {
        until(&format!("focus in “{label}”"), || async {
            let field = self.one("textbox", Named::Whole(label)).await?;
            let focus = self.client.active_element().await.map_err(|error| error.to_string())?;
            if field.element_id() == focus.element_id() { Ok(()) } else { Err(self.text().await) }
        })
        .await;
    }

    /// Presses keys one after the other, wherever the keyboard is.
    pub(crate) async fn keys(&self, text: &str) {
        for key in text.chars() {
            let stroke = KeyActions::new("keyboard".to_owned())
                .then(KeyAction::Down { value: key })
                .then(KeyAction::Up { value: key });
            self.client.perform_actions(stroke).await.unwrap();
        }
    }

    /// What is shown, in one line.
    pub(crate) async fn text(&self) -> String {
        let Ok(body) = self.client.find(Locator::Css("body")).await else { return String::new() };
        one_line(&body.text().await.unwrap_or_default())
    }

    /// Waits until these words are shown.
    pub(crate) async fn see(&self, words: &str) {
        let wanted = one_line(words);
        until(&format!("“{words}” on the page"), || async {
            let text = self.text().await;
            if text.contains(&wanted) { Ok(()) } else { Err(text) }
        })
        .await;
    }

    /// Waits until the thing with this role and name says exactly this.
    pub(crate) async fn says(&self, role: &str, name: &str, words: &str) {
        until(&format!("“{words}” in {role} “{name}”"), || async {
            let element = self.one(role, Named::Whole(name)).await?;
            let text = element.text().await.map_err(|error| error.to_string())?;
            let text = one_line(&text);
            if text == words { Ok(()) } else { Err(format!("“{text}”")) }
        })
        .await;
    }

    /// Waits until the field with this label holds exactly this.
    pub(crate) async fn holds(&self, label: &str, text: &str) {
        until(&format!("“{text}” in “{label}”"), || async {
            let field = self.one("textbox", Named::Whole(label)).await?;
            let held = field.prop("value").await.map_err(|error| error.to_string())?;
            if held.as_deref() == Some(text) { Ok(()) } else { Err(format!("{held:?}")) }
        })
        .await;
    }

    /// Gives a file to the picker with this label, as the system's dialog would.
    pub(crate) async fn upload(&self, label: &str, path: &std::path::Path) {
        let what = format!("picker “{label}” that takes a file");
        until(&what, || async {
            let picker = self.one("file", Named::Whole(label)).await?;
            picker.send_keys(path.to_str().unwrap()).await.map_err(|error| error.to_string())
        })
        .await;
    }

    /// Chooses from the last list with this label: the one of the file that was added last.
    pub(crate) async fn choose(&self, label: &str, option: &str) {
        let what = format!("“{option}” in the list “{label}”");
        until(&what, || async {
            let lists = self.all("combobox", Named::Whole(label)).await;
            let list = lists.map_err(|error| error.to_string())?.pop().ok_or("no such list")?;
            list.select_by_label(option).await.map_err(|error| error.to_string())
        })
        .await;
    }

    /// Types over what stands in the field with this label.
    pub(crate) async fn replace(&self, label: &str, text: &str) {
        self.press("textbox", label).await;
        let (control, all) = (char::from(Key::Control), 'a');
        let stroke = KeyActions::new("keyboard".to_owned())
            .then(KeyAction::Down { value: control })
            .then(KeyAction::Down { value: all })
            .then(KeyAction::Up { value: all })
            .then(KeyAction::Up { value: control });
        self.client.perform_actions(stroke).await.unwrap();
        self.keys(text).await;
        self.holds(label, text).await;
    }

    /// Goes to a place by its address, as a bookmark does.
    pub(crate) async fn go(&self, place: &str) {
        self.run("location.hash = `#/${arguments[0]}`", vec![json!(place)]).await;
    }

    /// The place that the address names.
    pub(crate) async fn place(&self) -> String {
        let hash = self.run("return location.hash", Vec::new()).await;
        hash.as_str().unwrap_or_default().trim_start_matches("#/").to_owned()
    }

    /// Runs a script of the tests in the page.
    pub(crate) async fn run(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.client.execute(script, arguments).await.unwrap()
    }
}

/// Spaces of any width count as one.
fn one_line(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || c == '\u{200b}')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
