//! Whatever the bytes: no panic, every line accounted for, no number that its text does not say.

use proptest::prelude::*;

use super::*;

/// Bytes that look like the forms, so that more than the first check is reached.
fn lines() -> impl Strategy<Value = String> {
    let field = prop_oneof![
        "[0-9]{1,4}[.,]?[0-9]{0,3}",
        "2026-09-0[1-9] 1[0-9]:[0-5][0-9]",
        "0[1-9].09.2026 1[0-9]:[0-5][0-9]",
        "(NAN|masked|-9999|R0[1-9]/F01|W/m\\^2|Avg|>5|–1|\"a|\"b\"|=A1|1e3|\\PC{0,4})",
    ];
    let line = prop::collection::vec(field, 0..5);
    prop::collection::vec((line, prop::sample::select(vec![";", ","])), 0..12).prop_map(|lines| {
        lines.into_iter().map(|(fields, mark)| fields.join(mark) + "\n").collect()
    })
}

fn heads() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "",
        "time;dni (W/m²);T (°C)\n",
        "t,dni,T\nTS,W/m^2,Deg C\n,Avg,Avg\n",
        "facet;dx_mm;dy_mm\n",
        "facet,dx_mm,dy_mm\n",
    ])
}

fn check(bytes: &[u8]) -> Result<(), TestCaseError> {
    for answers in
        [vec![], vec![("decimal", "comma"), ("grouping", "groups"), ("encoding", "windows-1252")]]
    {
        let answers: Answers =
            answers.into_iter().map(|(id, answer)| (id.to_owned(), answer.to_owned())).collect();
        let form = SeriesForm { answers: answers.clone(), ..form() };
        if let Ok(file) = series(bytes, &form) {
            if file.question.is_none() {
                assert_adds_up(&file.lines);
            }
            for cell in file.channels.iter().flat_map(|channel| &channel.values) {
                says_the_same(cell)?;
            }
        }
        let column =
            |id: &str| Column { id: id.into(), dimension: Dimension::Length, largest: None };
        let form = FacetForm { columns: vec![column("dx"), column("dy")], known: vec![], answers };
        if let Ok(file) = facet_table(bytes, &form) {
            if file.question.is_none() {
                assert_adds_up(&file.lines);
            }
            for number in file.rows.iter().flat_map(|row| &row.values) {
                says_the_same(&Cell::Number(number.clone()))?;
            }
        }
    }
    Ok(())
}

/// The digits of a number that is used are the digits of its text, in order, and so is its sign.
fn says_the_same(cell: &Cell) -> Result<(), TestCaseError> {
    let Cell::Number(number) = cell else { return Ok(()) };
    let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    prop_assert_eq!(digits(&number.typed), digits(&number.plain), "{:?}", number);
    let minus = number.typed.contains(['-', '−', '‐', '‑', '﹣', '－']);
    prop_assert_eq!(minus, number.plain.contains('-'), "{:?}", number);
    prop_assert!(number.plain.matches('.').count() <= 1, "{:?}", number);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        check(&bytes)?;
    }

    #[test]
    fn nearly_a_file(head in heads(), body in lines(), cut in 0_usize..400) {
        let text = format!("{head}{body}");
        check(text.as_bytes())?;
        check(text.as_bytes().get(..cut).unwrap_or_default())?;
    }

    /// A number written with either mark comes back with its own digits, or not at all.
    #[test]
    fn numbers_keep_their_digits(
        whole in 0_u32..1400, fraction in "[0-9]{1,4}", comma in any::<bool>(), n in 1_usize..6,
    ) {
        let mark = if comma { ',' } else { '.' };
        let mut text = "time;dni (W/m²)\n".to_owned();
        for minute in 0..n {
            text.push_str(&format!("2026-09-09 12:{minute:02};{whole}{mark}{fraction}\n"));
        }
        let file = series(text.as_bytes(), &form()).unwrap();
        match file.question {
            // Only three digits after the mark can be a group.
            Some(question) => {
                prop_assert_eq!(question.id, "decimal");
                prop_assert_eq!(fraction.len(), 3);
            }
            None => {
                let wanted = format!("{whole}.{fraction}");
                prop_assert_eq!(plain(&file, "irradiance"), vec![wanted; n]);
            }
        }
    }
}
