//! The types of every command in TypeScript, one file: `ui/src/generated/api.ts`.

use std::any::TypeId;
use std::collections::{BTreeMap, BTreeSet};

use ts_rs::{Config, TS, TypeVisitor};

/// Declarations gathered from the table of commands.
pub(super) struct Declarations {
    config: Config,
    seen: BTreeSet<TypeId>,
    types: BTreeMap<String, String>,
    commands: Vec<String>,
}

impl Declarations {
    fn new() -> Self {
        Self {
            // Every whole number here stays far below 2^53.
            config: Config::new().with_large_int("number"),
            seen: BTreeSet::new(),
            types: BTreeMap::new(),
            commands: Vec::new(),
        }
    }

    /// Takes a command with everything that its types rest on.
    pub(super) fn command<Args: TS + 'static, Answer: TS + 'static>(
        &mut self,
        name: &str,
        docs: &[&str],
    ) {
        self.visit::<Args>();
        self.visit::<Answer>();
        let docs: Vec<&str> = docs.iter().map(|line| line.trim()).collect();
        self.commands.push(format!(
            "  /** {} */\n  {name}: {{ args: {}; answer: {} }};\n",
            docs.join(" "),
            Args::name(&self.config),
            Answer::name(&self.config)
        ));
    }

    fn file(&self) -> String {
        let mut text = String::from(
            "// Written by `cargo xtask codegen` from the program's own types. Don't edit.\n\n",
        );
        for declaration in self.types.values() {
            text.push_str(declaration);
        }
        text.push_str("/** Every command with what it takes and what it answers. */\n");
        text.push_str("export interface Commands {\n");
        text.push_str(&self.commands.concat());
        text.push_str("}\n\nexport type Command = keyof Commands;\n");
        text.push_str("export type Args<C extends Command> = Commands[C][\"args\"];\n");
        text.push_str("export type Answer<C extends Command> = Commands[C][\"answer\"];\n\n");
        text.push_str("/** What every command answers when it does not do what was asked. */\n");
        text.push_str(
            "export interface Refusal {\n  code: string;\n  sentence: string;\n  next_step: string;\n  \
             /** True when the same act goes through with a stated reason. */\n  may_insist?: boolean;\n}\n",
        );
        text
    }
}

impl TypeVisitor for Declarations {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        if !self.seen.insert(TypeId::of::<T>()) {
            return;
        }
        // Only types of our own have a file to be written to, and thus a declaration.
        if T::output_path().is_some() {
            let docs = T::docs().unwrap_or_default();
            let declaration = format!("{docs}export {}\n\n", T::decl(&self.config));
            let declaration = one_line_docs(&declaration);
            let name = T::ident(&self.config);
            let before = self.types.insert(name.clone(), declaration.clone());
            assert!(before.is_none_or(|before| before == declaration), "two types named {name}");
        }
        T::visit_dependencies(self);
        T::visit_generics(self);
    }
}

/// Puts a comment of one line onto one line.
fn one_line_docs(text: &str) -> String {
    let mut out = text.replace("/**\n * ", "/** ").replace("\n */\n", " */\n");
    for gap in [", \n", "{ \n"] {
        out = out.replace(gap, &gap.replace(' ', ""));
    }
    out
}

#[test]
fn the_screens_are_written_against_these_types() {
    let mut list = Declarations::new();
    super::commands::declare(&mut list);
    let text = list.file();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../ui/src/generated/api.ts");
    if std::env::var_os("DISHWRIGHT_BLESS").is_some() {
        store::durable::create_folder(std::path::Path::new(path).parent().unwrap()).unwrap();
        std::fs::write(path, &text).unwrap();
    }
    let written = std::fs::read_to_string(path).unwrap_or_default();
    assert_eq!(written, text, "ui/src/generated/api.ts is not current: run `cargo xtask codegen`");
}
