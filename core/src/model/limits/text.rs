//! Limits of texts: names, and the checksums of scans.

use super::{Checker, Fault, MAX_NAME};
use crate::model::{Part, PartKind, Shape};

/// Letters of a text that is too long or not as it should be that are quoted.
const QUOTED: usize = 20;

impl Checker<'_> {
    /// All texts.
    pub(super) fn texts(&mut self) {
        let p = self.project;
        self.name("The name of the project", &p.name);
        p.bodies.iter().for_each(|x| self.name("The name of a body", &x.name));
        p.datums.iter().for_each(|x| self.name("The name of a datum", &x.name));
        p.joints.iter().for_each(|x| self.name("The name of a joint", &x.name));
        p.hardpoints.iter().for_each(|x| self.name("The name of a hardpoint", &x.name));
        p.merges.iter().for_each(|x| self.name("The name of a merge", &x.name));
        p.bars.iter().for_each(|x| self.name("The name of a bar", &x.name));
        p.done.iter().for_each(|x| self.name("The mark of a sawn piece", &x.mark));
        for run in &p.runs {
            self.name("The name of a run", &run.name);
            run.parts.iter().for_each(|part| self.part_texts(part));
        }
        for obstacle in &p.obstacles {
            self.name("The name of an obstacle", &obstacle.name);
            let Shape::Scan(scan) = &obstacle.shape else { continue };
            self.name("The path of a scan", &scan.path);
            if scan.sum().is_none() {
                let (scan, begins) = (quoted(&obstacle.name), quoted(&scan.sha256));
                self.tell(Fault::NoChecksum { scan, begins });
            }
        }
    }

    fn part_texts(&mut self, part: &Part) {
        self.name("The name of a part", &part.name);
        match &part.kind {
            PartKind::Bung(bung) => self.name("The thread of a bung", &bung.thread),
            PartKind::Stub(_) | PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => {}
        }
    }

    fn name(&mut self, what: &'static str, text: &str) {
        let count = text.chars().count();
        if count > MAX_NAME {
            self.tell(Fault::TextTooLong { what, begins: quoted(text), count, most: MAX_NAME });
        }
    }
}

/// The beginning of a text.
fn quoted(text: &str) -> String {
    let mut begin: String = text.chars().filter(|c| !c.is_control()).take(QUOTED).collect();
    if begin.len() < text.len() {
        begin.push('…');
    }
    begin
}
