//! The passphrase and the PINs of the invented people, as the demo's own file gives them, so that
//! whoever sits before the window can act as one of them.

use std::fs;

use toml::{Table, Value};

use crate::places::Places;
use crate::trouble::Trouble;

/// What to type, as text for the terminal.
pub(crate) fn keys(places: &Places) -> Result<String, Trouble> {
    let path = places.root.join("demo-site").join("site.toml");
    let trouble = |what: String| Trouble::new(what, "Restore the file from version control.");
    let text = fs::read_to_string(&path)
        .map_err(|error| trouble(format!("{} can't be read: {error}.", path.display())))?;
    let site: Table = text
        .parse()
        .map_err(|error| trouble(format!("{} is not TOML: {error}.", path.display())))?;
    list(&site).ok_or_else(|| trouble(format!("{} names no people.", path.display())))
}

fn list(site: &Table) -> Option<String> {
    let text = |table: &Table, key: &str| table.get(key).and_then(Value::as_str).map(str::to_owned);
    let founder = site.get("founder").and_then(Value::as_table);
    let mut lines = vec![
        "Everyone here is invented, and so is what opens their logbook.".to_owned(),
        format!("  passphrase   {}", text(site, "passphrase")?),
    ];
    for person in site.get("people")?.as_array()? {
        let person = person.as_table()?;
        let founding = founder.filter(|f| text(f, "person") == text(person, "person"));
        let Some(pin) = text(person, "pin").or_else(|| founding.and_then(|f| text(f, "pin")))
        else {
            continue;
        };
        let roles: Vec<String> = person
            .get("roles")?
            .as_array()?
            .iter()
            .filter_map(|role| text(role.as_table()?, "role"))
            .map(|role| role.replace('_', " "))
            .collect();
        lines.push(format!("  PIN {pin}   {}, {}", text(person, "name")?, roles.join(", ")));
    }
    Some(lines.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::list;

    #[test]
    fn whoever_has_a_pin_is_listed_with_it() {
        let site = "passphrase = \"sand\"\n[founder]\nperson = \"P-1\"\npin = \"111111\"\n\
            [[people]]\nperson = \"P-1\"\nname = \"Ann\"\nroles = [{ role = \"commissioning_lead\" }]\n\
            [[people]]\nperson = \"P-2\"\nname = \"Bo\"\nroles = []\n\
            [[people]]\nperson = \"P-3\"\nname = \"Cy\"\npin = \"333333\"\nroles = [{ role = \"trainee\" }]\n";
        let said = list(&site.parse().unwrap()).unwrap();
        assert!(said.contains("passphrase   sand"), "{said}");
        assert!(said.contains("PIN 111111   Ann, commissioning lead"), "{said}");
        assert!(said.contains("PIN 333333   Cy, trainee"), "{said}");
        assert!(!said.contains("Bo"), "{said}");
        assert_eq!(list(&"a = 1".parse().unwrap()), None);
    }
}
