//! Sentences of findings stand in one folder, and nothing else makes one.

use super::sources::sources;

const WORDS: &str = "core/src/finding/words/";

/// What stands between `{` at `open` and its `}`.
fn body(text: &str, open: usize) -> &str {
    let mut depth = 0;
    for (i, c) in text[open..].char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return &text[open + 1..open + i];
        }
    }
    &text[open..]
}

/// Findings that `text` writes out field by field, not from a problem: `Finding { .. }` patterns and
/// `Finding { spot, ..problem.finding(units) }` are none.
fn written_out(text: &str) -> Vec<&str> {
    let found = text.match_indices("Finding {").filter_map(|(at, name)| {
        let before = text[..at].trim_end();
        let is_own_word = !text[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let line = text[..at].rsplit('\n').next().unwrap_or_default();
        let is_type =
            line.contains("->") || ["struct", "impl", "for"].iter().any(|word| before.ends_with(word));
        (is_own_word && !is_type).then(|| body(text, at + name.len() - 1))
    });
    found.filter(|body| !body.contains("..") || body.contains("text:") || body.contains("code:")).collect()
}

#[test]
fn a_finding_is_made_from_a_problem_and_from_nothing_else() {
    let all = sources(&["app/src", "core/src"]);
    for source in all.iter().filter(|s| !s.is_test() && s.path != "core/src/finding.rs") {
        let program = source.program();
        let wrong = written_out(&program);
        assert!(wrong.is_empty(), "{}: {wrong:?}", source.path);
    }
    let root =
        sources(&["core/src"]).into_iter().find(|s| s.path == "core/src/finding.rs").expect("the root");
    assert_eq!(written_out(&root.program()).len(), 1, "in `Problem::finding` alone");
}

/// Texts between quotes in a program without comments; none of ours holds an escaped quote before a space.
fn quoted(program: &str) -> Vec<&str> {
    let lines = program.lines().filter(|line| !line.trim_start().starts_with("#["));
    lines.flat_map(|line| line.split('"').skip(1).step_by(2)).collect()
}

#[test]
fn facts_of_findings_hold_no_words() {
    let all = sources(&["core/src"]);
    let facts = all.iter().filter(|s| {
        s.path == "core/src/finding.rs" || (s.is_in("core/src/finding/") && !s.is_in(WORDS) && !s.is_test())
    });
    let mut count = 0;
    for source in facts {
        count += 1;
        let program = source.program();
        assert!(!program.contains("format!"), "{} makes a text", source.path);
        let words: Vec<&str> = quoted(&program).into_iter().filter(|text| text.contains(' ')).collect();
        assert!(words.is_empty(), "{}: {words:?}", source.path);
    }
    assert!(count > 10, "{count}");
}

#[test]
fn sentences_of_findings_are_made_in_their_folder() {
    // each stage has one sentence a kind, and the types that carry its facts name no other
    let stages =
        ["RouteProblem", "PieceProblem", "TaperProblem", "OpenEndProblem", "BarProblem", "GapProblem"];
    let more = ["StockProblem", "ScanProblem", "BranchFault", "MergeProblem", "PartProblem", "SaddleError"];
    let errors = ["LimbError", "ConeError", "ConeNote", "MergeError", "BarError", "SleeveFit", "PinFit"];
    let all = sources(&["app/src", "core/src"]);
    for name in stages.iter().chain(&more).chain(&errors) {
        let begin = format!("impl {name} {{");
        let mut told = 0;
        for source in &all {
            let program = source.program();
            for (at, _) in program.match_indices(&begin) {
                let body = body(&program, at + begin.len() - 1);
                if source.is_in(WORDS) {
                    told += body.matches("fn text(").count();
                } else {
                    assert!(!body.contains("String"), "{}: {name} makes a text", source.path);
                }
            }
        }
        assert_eq!(told, 1, "{name}");
    }
}

#[test]
fn findings_that_are_written_out_are_seen() {
    assert!(written_out("let f = Finding { item, ..problem.finding(units) };").is_empty());
    assert!(
        written_out("impl Finding { fn a() {} }\nfn b<'a>(f: &'a Finding) -> &'a Finding { c }").is_empty()
    );
    assert!(written_out("struct BlownFinding { a: b }").is_empty());
    assert_eq!(written_out("Finding { severity, code: \"x\", text }"), [" severity, code: \"x\", text "]);
    assert_eq!(written_out("fn a() -> Finding {\n    Finding { code }\n}"), [" code "]);
    assert_eq!(written_out("Finding { text: a, ..b }").len(), 1);
    assert_eq!(quoted("#[a = \"b c\"]\n\"d e\" + \"f\""), ["d e", "f"]);
}
