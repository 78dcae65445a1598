//! Several limits judged together: the verdict of all, and one rule for the sheet.

use crate::limit::Judged;
use crate::{RuleShown, Verdict};

/// What several limits say together.
#[derive(Debug, Clone)]
pub(crate) struct Together {
    /// Failed if one is broken; else not judged if one can't be judged; else passed.
    pub(crate) verdict: Verdict,
    pub(crate) rule: RuleShown,
    /// A sentence for each limit, those broken first.
    pub(crate) sentences: Vec<String>,
}

/// Joins judged limits, each with its name; none without any.
pub(crate) fn together(judged: &[(&str, Judged)]) -> Option<Together> {
    let has = |verdict| judged.iter().any(|(_, one)| one.verdict == verdict);
    let verdict = [Verdict::Fail, Verdict::NotJudged]
        .into_iter()
        .find(|verdict| has(*verdict))
        .unwrap_or(Verdict::Pass);
    let mut in_order: Vec<_> = judged.iter().collect();
    in_order.sort_by_key(|(_, one)| one.verdict != Verdict::Fail);
    let sentences =
        in_order.iter().map(|(name, one)| format!("{}: {}.", capital(name), one.sentence));
    Some(Together { verdict, rule: rule(judged)?, sentences: sentences.collect() })
}

fn rule(judged: &[(&str, Judged)]) -> Option<RuleShown> {
    let (_, first) = judged.first()?;
    if judged.len() == 1 {
        return Some(first.rule.clone());
    }
    let joined = |of: &dyn Fn(&RuleShown) -> Option<String>| {
        let texts: Vec<_> = judged
            .iter()
            .filter_map(|(name, one)| {
                of(&one.rule).map(|text| {
                    let text = text.trim_end_matches('.');
                    format!("{name}: {text}")
                })
            })
            .collect();
        texts.join("; ")
    };
    let some = |text: String| (!text.is_empty()).then_some(text);
    let alike = judged.iter().all(|(_, one)| one.rule.name == first.rule.name);
    let mut sources: Vec<_> =
        judged.iter().filter_map(|(_, one)| one.rule.limit_source.clone()).collect();
    sources.dedup();
    let lowest = judged
        .iter()
        .filter_map(|(_, one)| one.rule.conformance_probability.as_deref()?.parse::<f64>().ok())
        .reduce(f64::min);
    Some(RuleShown {
        name: if alike { first.rule.name.clone() } else { "each its own".to_owned() },
        text: format!("{}.", joined(&|rule| Some(rule.text.clone()))),
        limit: joined(&|rule| Some(rule.limit.clone())),
        limit_source: some(sources.join("; ")),
        acceptance_limit: some(joined(&|rule| rule.acceptance_limit.clone())),
        conformance_probability: lowest.map(|p| format!("{p:.1}")),
    })
}

/// The same text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
