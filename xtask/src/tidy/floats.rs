//! Two rules about binary floats: no transcendental function of the standard library where
//! verdicts or bytes depend on it (its precision is unspecified, so two platforms could differ),
//! and no bare float across the border of the calculations.

use super::finding::Finding;
use super::plan::EXACT;
use super::purity::has_word;
use super::source::Source;

/// Methods of f64 whose precision the standard library leaves open. `sqrt`, `mul_add`, `abs` and
/// the roundings are exact by IEEE 754 and may be used.
const BARRED: [&str; 27] = [
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp",
    "exp2", "exp_m1", "hypot", "ln", "ln_1p", "log", "log10", "log2", "powf", "powi", "sin",
    "sin_cos", "sinh", "tan", "tanh", "ln_gamma",
];

/// Checks one file by both rules, as far as they hold for its crate.
pub(super) fn check(source: &Source) -> Vec<Finding> {
    let mut found = Vec::new();
    if EXACT.contains(&source.member.as_str()) {
        found.extend(transcendental(source));
    }
    if source.member == "acceptance" {
        found.extend(bare(source));
    }
    found
}

/// Public fields and signatures with a float in them: a number without its unit.
fn bare(source: &Source) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut in_signature = false;
    for (number, line) in source.product_lines() {
        let code = line.code.trim();
        let begins = code.starts_with("pub ");
        if (begins || in_signature) && ["f64", "f32"].iter().any(|float| has_word(code, float)) {
            found.push(Finding::new(
                &source.path,
                number,
                "bare-float",
                "a float crosses the border of the calculations without its unit",
                "use a type of quantity, or keep the item inside the crate",
            ));
        }
        let signature = begins && code.contains("fn ");
        in_signature = (signature || in_signature) && !code.ends_with(['{', ';', '}']);
    }
    found
}

/// Finds calls as a method and as `f64::name`.
fn transcendental(source: &Source) -> Vec<Finding> {
    let mut found = Vec::new();
    for (number, line) in source.product_lines() {
        for name in BARRED.iter().filter(|name| calls(&line.code, name)) {
            let what = format!("{name} of the standard library may differ between platforms");
            let remedy = format!("use {} of the libm crate", in_libm(name));
            found.push(Finding::new(&source.path, number, "std-float", what, remedy));
        }
    }
    found
}

fn calls(code: &str, name: &str) -> bool {
    // Written apart, a call such as `x . sin ()` does not survive rustfmt.
    let method = format!(".{name}(");
    let path = format!("f64::{name}");
    let follows = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric() || c == '_');
    code.contains(&method) || code.split(path.as_str()).skip(1).any(follows)
}

fn in_libm(name: &str) -> &str {
    match name {
        "ln" => "log",
        "ln_1p" => "log1p",
        "exp_m1" => "expm1",
        "powf" | "powi" => "pow",
        "sin_cos" => "sincos",
        "ln_gamma" => "lgamma",
        "log" => "log, twice,",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::check;
    use crate::tidy::tests::product;

    #[test]
    fn method_and_path_calls_are_found() {
        for bad in
            ["let y = x.sin();", "let y = f64::exp(x);", "let y = a.powf(b);", "map(f64::ln)"]
        {
            assert_eq!(check(&product("acceptance", bad)).len(), 1, "{bad}");
            assert!(check(&product("store", bad)).is_empty());
        }
    }

    #[test]
    fn a_bare_float_at_the_border_is_found() {
        let bad = "pub fn loss(\n    start: f64,\n) -> Percent {\n    let inner: f64 = 0.0;\n}\n\
                   pub struct A {\n    pub loss: f64,\n    inner: f64,\n}\npub(crate) fn b() -> f64 {}\n";
        let found: Vec<_> =
            check(&product("acceptance", bad)).iter().map(super::Finding::rule_and_line).collect();
        assert_eq!(found, [("bare-float", 2), ("bare-float", 7)]);
        assert!(check(&product("report", bad)).is_empty());
    }

    #[test]
    fn exact_functions_and_libm_are_left_alone() {
        for good in [
            "let y = libm::sin(x).sqrt();",
            "let y = x.abs().floor();",
            "let y = f64::exponent_of(x);",
            "list.login(user)",
        ] {
            assert!(check(&product("report", good)).is_empty(), "{good}");
        }
    }
}
