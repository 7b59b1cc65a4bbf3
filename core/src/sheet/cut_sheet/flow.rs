//! Puts one thing below the other and goes on to the next page where a page is full.

use super::frame::{FOOT_MM, MARGIN_MM, foot};
use super::words::wrapped;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, fit_text, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Page, PaperSize, Pen, Text};
use crate::sheet::table::Table;

/// Font size of sentences, mm.
pub(super) const BODY: f64 = 3.7;
/// Font size of lists and of what is read once, mm.
pub(super) const SMALL: f64 = 3.4;
/// Font size of rows of tables, mm: 14 pt.
pub(super) const ROWS: f64 = 5.0;
/// Font size of rows of tables that would be too wide else, mm.
pub(super) const TIGHT: f64 = 3.7;
/// Font size of headings, mm.
const HEADING: f64 = 4.8;
/// Font sizes of the title in the head of a page, mm: 20 pt, and 15 where it is long.
const TITLE: [f64; 3] = [7.2, 6.2, 5.3];
/// Height of the head of a page, mm.
const HEAD_MM: f64 = 12.0;
/// Distance of lines as a part of the font size.
const LEADING: f64 = 1.32;
/// Space above a heading, mm.
const ABOVE_MM: f64 = 4.0;
/// Rows that are kept under a heading.
const KEPT_ROWS: f64 = 2.0;

/// What stands at the top of a page.
#[derive(Debug, Clone, Default)]
pub(super) struct Head {
    /// What kind of page it is, in one word, white on black.
    pub(super) kind: String,
    /// What the foot says beside the project.
    pub(super) running: String,
    pub(super) title: String,
    /// Small facts at the right, two lines at the most.
    pub(super) facts: Vec<String>,
    /// What is to be settled before anything of this page is made.
    pub(super) ask: Vec<String>,
}

/// A page that is filled.
#[derive(Debug)]
struct Done {
    page: Page,
    running: String,
}

/// Pages being filled from the top.
#[derive(Debug)]
pub(super) struct Flow {
    paper: PaperSize,
    project: String,
    stamp: String,
    head: Head,
    done: Vec<Done>,
    page: Page,
    y: f64,
    /// Where the free part of the page begins under its head.
    top: f64,
}

impl Flow {
    pub(super) fn new(paper: PaperSize, project: &str, stamp: &str) -> Self {
        Self {
            paper,
            project: project.to_owned(),
            stamp: stamp.to_owned(),
            head: Head::default(),
            done: Vec::new(),
            page: Page::new(paper),
            y: MARGIN_MM,
            top: MARGIN_MM,
        }
    }

    /// Goes to an empty page with this head; so do the pages after it.
    pub(super) fn start(&mut self, head: Head) {
        self.close();
        self.head = head;
        self.open(false);
    }

    /// Goes to an empty page, if this one is not.
    pub(super) fn next_page(&mut self) {
        if self.is_fresh() {
            return;
        }
        self.close();
        self.open(true);
    }

    /// Whether nothing stands on the page but its head.
    pub(super) fn is_fresh(&self) -> bool {
        self.y <= self.top + 1e-9
    }

    fn close(&mut self) {
        if self.page.marks.is_empty() {
            return;
        }
        let full = std::mem::replace(&mut self.page, Page::new(self.paper));
        let running = self.head.running.clone();
        self.done.push(Done { page: full, running });
        self.y = MARGIN_MM;
    }

    /// Draws the head on the empty page.
    fn open(&mut self, goes_on: bool) {
        let head = self.head.clone();
        let (left, width) = (MARGIN_MM, self.width());
        let right = left + width;
        let kind_mm = text_width_mm(&head.kind, TITLE[0], true) + 6.0;
        self.page.rect((left, MARGIN_MM), (kind_mm, HEAD_MM - 2.0), None, Some(Grey::BLACK));
        let base = MARGIN_MM + 7.6;
        self.page.text(
            Text::new((left + kind_mm / 2.0, base), TITLE[0], head.kind.clone())
                .bold()
                .anchored(Anchor::Middle)
                .in_grey(Grey::WHITE),
        );
        let mut facts = head.facts.clone();
        if goes_on {
            facts.insert(0, "continued".to_owned());
            facts.truncate(2);
        }
        let facts_mm = facts.iter().map(|f| text_width_mm(f, SMALL, false)).fold(0.0, f64::max);
        for (i, fact) in facts.iter().enumerate() {
            let at = (right, MARGIN_MM + 3.6 + i as f64 * SMALL * LEADING);
            self.page.text(Text::new(at, SMALL, fact.clone()).anchored(Anchor::End));
        }
        let (x, room) = (left + kind_mm + 4.0, width - kind_mm - facts_mm - 8.0);
        let fits = |size: &&f64| text_width_mm(&head.title, **size, true) <= room;
        if let Some(size) = TITLE.iter().find(fits) {
            self.page.text(Text::new((x, base), *size, head.title.clone()).bold());
        } else {
            let size = 4.4;
            for (i, line) in in_two(&head.title, size, room).into_iter().enumerate() {
                let at = (x, MARGIN_MM + 4.0 + i as f64 * size * 1.25);
                self.page.text(Text::new(at, size, line).bold());
            }
        }
        self.y = MARGIN_MM + HEAD_MM;
        if !head.ask.is_empty() {
            self.ask(&head.ask);
        }
        self.top = self.y;
    }

    /// The band that says what is to be settled first.
    fn ask(&mut self, sentences: &[String]) {
        let lead = "ASK FIRST";
        let inner = self.width() - 5.0;
        let mut lines = Vec::new();
        let more = sentences.len().saturating_sub(2);
        for sentence in sentences.iter().take(2) {
            lines.push(wrapped(lead, sentence, BODY, inner));
        }
        let count = lines.iter().map(Vec::len).sum::<usize>() + usize::from(more > 0);
        let height = count as f64 * BODY * LEADING + 2.2;
        let strip = self.take(height + 2.0);
        self.page.rect((strip.left, strip.top), (strip.width, height), Some(Pen::solid(0.6)), None);
        let mut base = strip.top + BODY + 0.6;
        for sentence in lines {
            self.page.text(Text::new((strip.left + 2.5, base), BODY, lead).bold());
            for line in sentence {
                let at = (strip.left + 2.5 + line.indent_mm, base);
                self.page.text(Text::new(at, BODY, line.words));
                base += BODY * LEADING;
            }
        }
        if more > 0 {
            let words = format!("and {more} more, on the job page");
            self.page.text(Text::new((strip.left + 2.5, base), BODY, words).bold());
        }
    }

    /// The finished pages with their feet.
    pub(super) fn finish(mut self) -> Vec<Page> {
        self.close();
        let count = self.done.len();
        let feet = self.done.into_iter().enumerate().map(|(i, Done { mut page, running })| {
            foot(&mut page, &self.project, &running, &self.stamp, (i + 1, count));
            page
        });
        feet.collect()
    }

    pub(super) fn page(&mut self) -> &mut Page {
        &mut self.page
    }

    pub(super) fn width(&self) -> f64 {
        self.page.size_mm.0 - 2.0 * MARGIN_MM
    }

    /// What is left of the page.
    pub(super) fn rest(&self) -> Area {
        let height = self.page.size_mm.1 - MARGIN_MM - FOOT_MM - self.y;
        Area::new(MARGIN_MM, self.y, self.width(), height.max(0.0))
    }

    /// What a page holds under its head, mm.
    pub(super) fn whole_mm(&self) -> f64 {
        self.page.size_mm.1 - MARGIN_MM - FOOT_MM - self.top
    }

    /// Goes to the next page where less than `mm` is left of this one.
    pub(super) fn need(&mut self, mm: f64) {
        if self.rest().height < mm {
            self.next_page();
        }
    }

    /// Leaves `mm` free, but not at the top of a page.
    pub(super) fn skip(&mut self, mm: f64) {
        if !self.is_fresh() {
            self.y += mm;
        }
    }

    /// Takes a strip of height `mm`; what is drawn in it is for the caller.
    pub(super) fn take(&mut self, mm: f64) -> Area {
        let strip = Area { height: mm, ..self.rest() };
        self.y += mm;
        strip
    }

    /// One line, cut short where it is too long.
    pub(super) fn line(&mut self, words: &str, size: f64, bold: bool) {
        let words = fit_text(words, size, bold, self.width());
        let strip = self.take(size * LEADING);
        let text = Text::new((strip.left, strip.top + size), size, words);
        self.page.text(if bold { text.bold() } else { text });
    }

    /// Height of a heading, mm.
    pub(super) fn heading_mm() -> f64 {
        ABOVE_MM + HEADING * LEADING + 1.0
    }

    /// A heading, kept with `keep_mm` of what follows.
    pub(super) fn heading(&mut self, words: &str, keep_mm: f64) {
        self.need(Self::heading_mm() + keep_mm);
        self.skip(ABOVE_MM);
        self.line(words, HEADING, true);
        self.y += 1.0;
    }

    /// Sentences over as many lines as they need.
    pub(super) fn paragraph(&mut self, words: &str, size: f64) {
        self.led_paragraph("", words, size);
    }

    /// Sentences with a bold lead before them.
    pub(super) fn led_paragraph(&mut self, lead: &str, words: &str, size: f64) {
        let bottom = size * (1.0 - CAP_HEIGHT);
        for (i, line) in wrapped(lead, words, size, self.width()).into_iter().enumerate() {
            self.need(size + bottom);
            let strip = self.take(size * LEADING);
            let base = strip.top + size;
            if i == 0 && !lead.is_empty() {
                let lead = fit_text(lead, size, true, strip.width);
                self.page.text(Text::new((strip.left, base), size, lead).bold());
            }
            self.page.text(Text::new((strip.left + line.indent_mm, base), size, line.words));
        }
        self.y += size * 0.3;
    }

    /// Height of paragraphs in letters of `size`, each a bold lead and sentences, mm.
    pub(super) fn block_mm<'a>(
        &self,
        paragraphs: impl Iterator<Item = (&'a str, &'a str)>,
        size: f64,
    ) -> f64 {
        let height = |(lead, words): (&str, &str)| {
            let lines = wrapped(lead, words, size, self.width()).len() as f64;
            size * (lines * LEADING + 0.3)
        };
        paragraphs.map(height).sum()
    }

    /// A table under a heading, over as many pages as it needs; nothing where it has no rows.
    pub(super) fn table(&mut self, heading: &str, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        self.heading(heading, table.header_mm() + KEPT_ROWS.min(table.rows.len() as f64) * table.row_mm());
        self.rows(heading, table);
    }

    /// The rows of a table whose heading has been set; `heading` is repeated where it goes on.
    pub(super) fn rows(&mut self, heading: &str, table: &Table) {
        let mut first = 0;
        while first < table.rows.len() {
            let rest = self.rest();
            let fit = table.rows_that_fit(first, rest.height);
            // two rows go over rather than one alone
            let alone = fit > 2 && first + fit + 1 == table.rows.len();
            let height = if alone { rest.height - table.row_mm() } else { rest.height };
            let drawn = table.draw(&mut self.page, (rest.left, rest.top), height, first);
            self.y += drawn.height_mm;
            first += drawn.rows;
            if first < table.rows.len() {
                // a fresh page with its heading that takes no row never will
                if drawn.rows == 0 && self.y < self.top + 2.0 * HEADING * LEADING && !self.done.is_empty() {
                    return;
                }
                self.next_page();
                self.line(&format!("{heading} (continued)"), HEADING, true);
                self.y += 1.0;
            }
        }
    }
}

/// A long title in two lines; what does not fit there ends with an ellipsis.
fn in_two(title: &str, size: f64, room: f64) -> Vec<String> {
    let mut first = "";
    let mut rest = title;
    for (at, _) in title.match_indices(' ') {
        if text_width_mm(&title[..at], size, true) > room {
            break;
        }
        first = &title[..at];
        rest = title[at..].trim_start();
    }
    let mut out = vec![first.to_owned(), fit_text(rest, size, true, room)];
    out.retain(|line| !line.is_empty());
    out
}
