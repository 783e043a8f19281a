//! The writers, on documents made for the purpose.

use super::*;

fn document(rows: usize) -> Document {
    let row = |k: usize| vec![TextCell::from(format!("row {k}")), TextCell::from(format!("{k} mm"))];
    let table = TextTable {
        caption: "Many rows".to_owned(),
        columns: vec![Column::words("name"), Column::numbers("size")],
        rows: (0..rows).map(row).collect(),
        notes: vec!["a note".to_owned()],
    };
    Document {
        title: "A <part> & its \"sheet\"".to_owned(),
        lead: "What it is.".to_owned(),
        paper: Paper::A4,
        chapters: vec![
            Chapter::new("First", [Block::Table(table)]),
            Chapter::new("Empty", [Block::List(vec![])]),
        ],
        foot: "the foot".to_owned(),
    }
}

/// The number of pages that a PDF says it has.
fn page_count(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    let (_, rest) = text.split_once("/Count ").expect("a tree of pages");
    rest.chars().take_while(char::is_ascii_digit).collect::<String>().parse().expect("a number")
}

#[test]
fn equal_documents_give_equal_bytes() {
    let write = || pdf::bytes(&document(100)).expect("a PDF");
    assert_eq!(write(), write(), "PDF");
    assert_eq!(html::text(&document(100)), html::text(&document(100)), "HTML");
}

#[test]
fn a_long_table_takes_several_pages() {
    assert_eq!(page_count(&pdf::bytes(&document(3)).expect("a PDF")), 1, "a short one");
    let long = page_count(&pdf::bytes(&document(150)).expect("a PDF"));
    assert!((3..=5).contains(&long), "150 rows on {long} pages");
}

#[test]
fn a_page_of_html_escapes_its_texts_and_leaves_out_empty_sections() {
    let text = html::text(&document(2));
    assert!(text.contains("<h1>A &lt;part&gt; &amp; its &quot;sheet&quot;</h1>"), "{text}");
    assert!(!text.contains("Empty"), "{text}");
    assert_eq!(text.matches("<th scope=\"row\">").count(), 2, "{text}");
}

#[test]
fn nothing_is_too_odd_for_paper() {
    let odd = "x".repeat(500);
    let table = TextTable {
        caption: String::new(),
        columns: (0..12).map(|_| Column::numbers("a head that is long")).collect(),
        rows: vec![(0..12).map(|_| TextCell::alarm(odd.clone())).collect()],
        notes: vec![odd.clone()],
    };
    let picture = Picture { png: b"no picture".to_vec(), alt: odd.clone(), caption: odd.clone() };
    let facts = vec![Fact::new(&odd, "部 \u{1F600}"), Fact::new("", "")];
    let blocks =
        [Block::Table(table), Block::Picture(picture), Block::Facts(facts), Block::Cautions(vec![odd])];
    let document = Document { chapters: vec![Chapter::new("", blocks)], paper: Paper::Letter, ..document(1) };
    assert!(page_count(&pdf::bytes(&document).expect("a PDF")) >= 1, "written all the same");
}

#[test]
fn parts_for_the_terminal_are_the_same_words() {
    let Block::Table(table) = &document(2).chapters[0].blocks[0] else { panic!("a table") };
    assert_eq!(
        plain::table(table),
        "  name   size\n  row 0  0 mm\n  row 1  1 mm\n  a note\n",
        "the terminal's table"
    );
}

#[test]
fn keys_between_backticks_are_code_on_a_page() {
    let item = "set `limits.wall` to <5>; a ` alone".to_owned();
    let chapter = Chapter::new("Notes", [Block::List(vec![item, "give `a.b`".to_owned()])]);
    let text = html::text(&Document { chapters: vec![chapter], ..document(1) });
    assert!(text.contains("<li>give <code>a.b</code></li>"), "{text}");
    assert!(
        text.contains("set `limits.wall` to &lt;5&gt;; a ` alone"),
        "an odd backtick is none of ours: {text}"
    );
}
