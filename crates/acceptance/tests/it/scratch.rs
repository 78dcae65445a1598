#[test]
fn scratch() {
    for c in acceptance::calculations() {
        for e in c.examples() {
            match c.run_text(e.text) {
                Ok(s) => println!(
                    "== {} {:?} {}\n{}",
                    e.name,
                    s.verdict,
                    s.reason,
                    if e.name == "good-helium-pass" {
                        serde_json::to_string_pretty(&s).unwrap()
                    } else {
                        String::new()
                    }
                ),
                Err(r) => println!("== {} REFUSED {}: {}", e.name, r.code, r),
            }
        }
    }
}
