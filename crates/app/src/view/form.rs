//! A calculation's input as a form: fields in the order of the calculation, with words, kinds and
//! examples, made from its JSON Schema so that no screen knows any calculation.

use acceptance::Calculation;
use serde::Serialize;
use serde_json::{Map, Value, json};
use ts_rs::TS;

/// A calculation with its form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationForm {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) purpose: String,
    pub(crate) version: u32,
    /// The title of its topic.
    pub(crate) topic: String,
    pub(crate) fields: Vec<FormField>,
    pub(crate) examples: Vec<FormExample>,
}

/// One field, or a part with fields of its own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FormField {
    /// Its name in the input.
    pub(crate) name: String,
    /// Its name in words.
    pub(crate) label: String,
    /// What belongs in it.
    pub(crate) help: String,
    pub(crate) kind: FormKind,
}

/// What a field takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub(crate) enum FormKind {
    /// A text: a reading with its unit, a moment, a name.
    Text {
        /// A text that it would take; may be empty.
        example: String,
    },
    /// Yes or no; neither as long as nothing is chosen.
    YesNo {},
    /// One of some words.
    Choice { options: Vec<FormOption> },
    /// A part with fields of its own.
    Group { fields: Vec<FormField> },
    /// A list of texts.
    Texts {
        /// A text that it would take; may be empty.
        example: String,
    },
    /// Parts under the numbers 1, 2, 3 …, each with the same fields.
    Numbered { fields: Vec<FormField> },
    /// Texts, each under a name that whoever types chooses.
    Named {
        /// A text that it would take; may be empty.
        example: String,
    },
    /// A list of parts, each with the same fields.
    Rows {
        fields: Vec<FormField>,
        /// Whether it can be stated that there are none.
        none: bool,
    },
}

/// One of the words of a choice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FormOption {
    pub(crate) value: String,
    pub(crate) label: String,
    pub(crate) help: String,
}

/// An input that ships with the calculation; its numbers are invented.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FormExample {
    pub(crate) title: String,
    #[ts(type = "unknown")]
    pub(crate) input: Value,
}

/// Depth of parts within parts after which a schema is taken for endless.
const DEEPEST: usize = 8;
/// A name that no calculation gives to a field.
const STRANGER: &str = "?";

impl CalculationForm {
    /// The form of a calculation.
    pub(crate) fn of(calculation: &'static Calculation) -> Self {
        let schema = calculation.input_schema();
        let fields = Reader { calculation, schema: &schema }.fields(&schema, &mut Vec::new());
        let examples = calculation.examples().iter().filter_map(|example| {
            let title = example.name.strip_prefix("good-")?;
            let input = serde_json::from_str(example.text).ok()?;
            Some(FormExample { title: sentence(&title.replace('-', " ")), input })
        });
        let topic = acceptance::topics()
            .iter()
            .find(|topic| topic.calculations().any(|one| one.name() == calculation.name()));
        Self {
            name: calculation.name().to_owned(),
            title: calculation.title().to_owned(),
            purpose: calculation.purpose().to_owned(),
            version: calculation.version(),
            topic: topic.map(|topic| topic.title.to_owned()).unwrap_or_default(),
            fields,
            examples: examples.collect(),
        }
    }
}

/// A step into an input: a field of a part, or the first row of a list.
#[derive(Clone, Copy)]
enum Step<'p> {
    Field(&'p str),
    FirstRow,
}

struct Reader<'s> {
    calculation: &'static Calculation,
    schema: &'s Value,
}

impl<'s> Reader<'s> {
    /// The fields of a part, in the order in which the calculation declares them.
    fn fields(&self, part: &'s Value, path: &mut Vec<Step<'s>>) -> Vec<FormField> {
        let part = self.resolved(part);
        let Some(properties) = part.get("properties").and_then(Value::as_object) else {
            return Vec::new();
        };
        let order = self.order(path);
        let mut names: Vec<&'s String> = properties.keys().collect();
        names.sort_by_key(|name| order.iter().position(|one| one == *name).unwrap_or(usize::MAX));
        names
            .into_iter()
            .filter_map(|name| {
                let field = properties.get(name)?;
                path.push(Step::Field(name));
                let kind = self.kind(field, path);
                path.pop();
                Some(FormField {
                    name: name.clone(),
                    label: sentence(&name.replace('_', " ")),
                    help: self.help(field),
                    kind,
                })
            })
            .collect()
    }

    fn kind(&self, field: &'s Value, path: &mut Vec<Step<'s>>) -> FormKind {
        let schema = self.resolved(field);
        let options = options(schema);
        if !options.is_empty() {
            return FormKind::Choice { options };
        }
        if schema.get("properties").is_some() && path.len() < DEEPEST {
            return FormKind::Group { fields: self.fields(schema, path) };
        }
        if let Some(items) = schema.get("items") {
            let item = self.resolved(items);
            if item.get("properties").is_some() && path.len() < DEEPEST {
                path.push(Step::FirstRow);
                let fields = self.fields(item, path);
                path.pop();
                // A list whose schema says that it may be empty says something when it is.
                let none = field.get("minItems").and_then(Value::as_u64) == Some(0);
                return FormKind::Rows { fields, none };
            }
            return FormKind::Texts { example: example(item) };
        }
        let numbered = schema.get("patternProperties").and_then(Value::as_object);
        if let Some(each) = numbered.and_then(|each| each.values().next())
            && path.len() < DEEPEST
        {
            path.push(Step::Field("1"));
            let fields = self.fields(each, path);
            path.pop();
            return FormKind::Numbered { fields };
        }
        if let Some(each) = schema.get("additionalProperties").filter(|each| each.is_object()) {
            return FormKind::Named { example: example(self.resolved(each)) };
        }
        if schema.get("type").and_then(Value::as_str) == Some("boolean") {
            return FormKind::YesNo {};
        }
        FormKind::Text { example: example(schema) }
    }

    /// The schema that a reference means.
    fn resolved(&self, schema: &'s Value) -> &'s Value {
        let mut schema = schema;
        for _ in 0..DEEPEST {
            let target = schema
                .get("$ref")
                .and_then(Value::as_str)
                .and_then(|reference| reference.strip_prefix('#'))
                .and_then(|pointer| self.schema.pointer(pointer));
            match target {
                Some(target) => schema = target,
                None => break,
            }
        }
        schema
    }

    fn help(&self, field: &'s Value) -> String {
        let own = field.get("description").and_then(Value::as_str);
        let meant = self.resolved(field).get("description").and_then(Value::as_str);
        words(own.or(meant).unwrap_or_default())
    }

    /// The names of a part's fields in the order of the calculation. A schema sorts them; the
    /// calculation lists them in its own order when it is given a field that it doesn't know.
    fn order(&self, path: &[Step<'_>]) -> Vec<String> {
        let mut input = json!({ STRANGER: "" });
        for step in path.iter().rev() {
            input = match step {
                Step::Field(name) => Value::Object(Map::from_iter([((*name).to_owned(), input)])),
                Step::FirstRow => Value::Array(vec![input]),
            };
        }
        let Err(refusal) = self.calculation.run(&input) else { return Vec::new() };
        // "… unknown field `?`, expected one of `gas`, `volume`": every second piece is a name.
        refusal.sentence.split('`').skip(1).step_by(2).skip(1).map(str::to_owned).collect()
    }
}

/// The words of a choice; none for anything else.
fn options(schema: &Value) -> Vec<FormOption> {
    let option = |value: &str, help: &str| FormOption {
        value: value.to_owned(),
        label: sentence(&value.replace(['_', '-'], " ")),
        help: words(help),
    };
    let text = |one: &Value, key: &str| one.get(key).and_then(Value::as_str).map(str::to_owned);
    let listed = schema.get("enum").and_then(Value::as_array);
    let described = schema.get("oneOf").and_then(Value::as_array);
    let listed = listed.into_iter().flatten();
    let listed = listed.filter_map(|value| value.as_str().map(|value| option(value, "")));
    let described = described.into_iter().flatten().flat_map(|one| {
        let help = text(one, "description").unwrap_or_default();
        let constant = text(one, "const").into_iter();
        let several = one.get("enum").and_then(Value::as_array).into_iter().flatten();
        let several = several.filter_map(|value| value.as_str().map(str::to_owned));
        constant.chain(several).map(|value| option(&value, &help)).collect::<Vec<_>>()
    });
    listed.chain(described).collect()
}

/// A doc comment as a sentence for people: one line, names in quotation marks.
fn words(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    line.split('`')
        .enumerate()
        .map(|(place, piece)| if place % 2 == 1 { format!("“{piece}”") } else { piece.to_owned() })
        .collect()
}

fn example(schema: &Value) -> String {
    let first = schema.get("examples").and_then(|list| list.get(0)).and_then(Value::as_str);
    first.unwrap_or_default().to_owned()
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(name: &str) -> CalculationForm {
        CalculationForm::of(acceptance::calculation(name).unwrap())
    }

    fn names(fields: &[FormField]) -> Vec<&str> {
        fields.iter().map(|field| field.name.as_str()).collect()
    }

    #[test]
    fn fields_stand_in_the_order_of_the_calculation() {
        let form = form("pressure-decay");
        assert_eq!(&names(&form.fields)[..4], ["gas", "volume", "start", "end"]);
        assert_eq!(form.topic, "Gas");
        let FormKind::Choice { options } = &form.fields[0].kind else { panic!("{form:?}") };
        assert_eq!(options[0].value, "hydrogen");
        assert_eq!(options[0].label, "Hydrogen");
        let FormKind::Group { fields } = &form.fields[2].kind else { panic!("{form:?}") };
        assert_eq!(fields[0].label, "Gauge pressure");
        assert!(!fields[0].help.is_empty());
        let FormKind::Text { example } = &fields[0].kind else { panic!("{form:?}") };
        assert_eq!(example, "110.2 bar(g)");
        assert!(form.examples.iter().any(|example| example.title == "Helium pass"));
    }

    #[test]
    fn lists_are_rows_or_texts() {
        let form = form("facet-alignment");
        let facets = form.fields.iter().find(|field| field.name == "facets").unwrap();
        let FormKind::Rows { fields, .. } = &facets.kind else { panic!("{facets:?}") };
        assert_eq!(fields[0].name, "facet");
    }

    #[test]
    fn yes_and_no_are_chosen_and_not_typed() {
        let form = form("protection-times");
        let tests = form.fields.iter().find(|field| field.name == "tests").unwrap();
        let FormKind::Rows { fields, .. } = &tests.kind else { panic!("{tests:?}") };
        let meant = fields.iter().find(|field| field.name == "must_not_trip").unwrap();
        assert_eq!(meant.kind, FormKind::YesNo {});
    }

    /// A value that no field of the form can hold would be lost without a word.
    #[test]
    fn every_value_of_every_example_has_a_field_of_its_kind() {
        fn look(fields: &[FormField], part: &Value, at: &str) {
            for (name, value) in part.as_object().unwrap() {
                let at = format!("{at}.{name}");
                let field = fields.iter().find(|field| field.name == *name);
                let field = field.unwrap_or_else(|| panic!("{at} has no field"));
                let rows = || value.as_array().unwrap_or_else(|| panic!("{at} is no list"));
                match &field.kind {
                    FormKind::Text { .. } => assert!(value.is_string(), "{at}"),
                    FormKind::Choice { options } => {
                        assert!(options.iter().any(|one| value == one.value.as_str()), "{at}");
                    }
                    FormKind::YesNo {} => assert!(value.is_boolean(), "{at}"),
                    FormKind::Group { fields } => look(fields, value, &at),
                    FormKind::Named { .. } => {
                        assert!(value.as_object().unwrap().values().all(Value::is_string), "{at}");
                    }
                    FormKind::Texts { .. } => assert!(rows().iter().all(Value::is_string), "{at}"),
                    FormKind::Numbered { fields } => {
                        for (number, row) in value.as_object().unwrap() {
                            assert!(number.parse::<u8>().is_ok(), "{at}");
                            look(fields, row, &at);
                        }
                    }
                    FormKind::Rows { fields, .. } => {
                        for row in rows() {
                            look(fields, row, &at);
                        }
                    }
                }
            }
        }
        for calculation in acceptance::calculations() {
            let form = CalculationForm::of(calculation);
            for example in &form.examples {
                look(&form.fields, &example.input, &form.name);
            }
        }
    }

    /// Every field of every schema is in the form, and the calculation's own order is known: a part
    /// whose order could not be asked for would silently be sorted by the alphabet.
    #[test]
    fn no_calculation_is_left_without_an_order() {
        fn look<'f>(reader: &Reader<'_>, fields: &'f [FormField], path: &mut Vec<Step<'f>>) {
            assert_eq!(names(fields), reader.order(path), "{}", reader.calculation.name());
            for field in fields {
                assert!(!field.help.is_empty(), "{}: no help", field.name);
                path.push(Step::Field(&field.name));
                match &field.kind {
                    FormKind::Group { fields } => look(reader, fields, path),
                    FormKind::Numbered { fields } => {
                        path.push(Step::Field("1"));
                        look(reader, fields, path);
                        path.pop();
                    }
                    FormKind::Rows { fields, .. } => {
                        path.push(Step::FirstRow);
                        look(reader, fields, path);
                        path.pop();
                    }
                    FormKind::Text { .. }
                    | FormKind::YesNo {}
                    | FormKind::Named { .. }
                    | FormKind::Texts { .. }
                    | FormKind::Choice { .. } => {}
                }
                path.pop();
            }
        }
        for calculation in acceptance::calculations() {
            let schema = calculation.input_schema();
            let reader = Reader { calculation, schema: &schema };
            let fields = CalculationForm::of(calculation).fields;
            assert!(!fields.is_empty());
            look(&reader, &fields, &mut Vec::new());
        }
    }
}
