//! Steps as a text, so that they outlast the page.
//!
//! A step is what differs between its document's text and that of the step next to it, nearer to the present; the text of the present document is kept elsewhere and comes first.
//! Documents are read from their texts only when a step is taken, so that starting does not wait for steps that are never taken.
//!
//! Invariant: a text that does not belong to the present document brings back nothing, and no text is trusted: a step that cannot be read ends the steps beyond it.
//! Absent: the format of a document, which is handed in.

use super::{Snapshot, Step};
use crate::History;
use lampwright_model::{PatternId, Program};
use std::rc::Rc;

/// Most steps of each direction that are written.
const MOST_STEPS: usize = 50;
/// Longest text that is written, in bytes.
const MOST_BYTES: usize = 512 << 10;
/// Most bytes of documents' texts held for one writing.
const MOST_TEXT_BYTES: usize = 16 << 20;

/// How a document is written as a text and read from it.
#[derive(Clone, Copy, Debug)]
pub struct TextFormat {
    /// The text of a document.
    pub write: fn(&Program) -> String,
    /// The document of a text, if it is one without a problem.
    pub read: fn(&str) -> Option<Program>,
}

/// What was written before, so that each document is written once and each step compared once.
#[derive(Debug, Default)]
pub struct WrittenTexts {
    texts: Vec<(Rc<Program>, Rc<str>)>,
    /// With the documents on the near and on the far side.
    steps: Vec<(Rc<Program>, Rc<Program>, Rc<TextStep>)>,
}

impl WrittenTexts {
    /// The text of a document, written now if it is not at hand.
    pub fn text(&mut self, program: &Rc<Program>, format: TextFormat) -> Rc<str> {
        let known = self
            .texts
            .iter()
            .find(|(known, _)| Rc::ptr_eq(known, program));
        if let Some((_, text)) = known {
            return text.clone();
        }
        let text: Rc<str> = (format.write)(program).into();
        self.texts.push((program.clone(), text.clone()));
        text
    }

    fn step(&mut self, near: &Rc<Program>, step: &Step, format: TextFormat) -> Rc<TextStep> {
        let far = &step.snapshot.program;
        let known = self
            .steps
            .iter()
            .find(|(one, other, _)| Rc::ptr_eq(one, near) && Rc::ptr_eq(other, far));
        if let Some((_, _, known)) = known {
            return known.clone();
        }
        let made = Rc::new(TextStep::between(
            &step.label,
            step.snapshot.open_pattern.as_ref(),
            &self.text(near, format),
            &self.text(far, format),
        ));
        self.steps.push((near.clone(), far.clone(), made.clone()));
        made
    }

    fn n_bytes(&self) -> usize {
        self.texts.iter().map(|(_, text)| text.len()).sum()
    }
}

/// Steps in one direction that are still texts.
#[derive(Clone, Debug)]
pub(super) struct TextSteps {
    /// Text of the document on the near side of the next step.
    near: Rc<str>,
    /// The next one last.
    steps: Vec<TextStep>,
    format: TextFormat,
}

/// What differs between two texts, with what the step was called.
#[derive(Clone, Debug, PartialEq, Eq)]
struct TextStep {
    label: String,
    pattern: Option<PatternId>,
    /// How many bytes are the same at the start.
    n_before: usize,
    /// How many bytes are the same at the end.
    n_after: usize,
    /// What stands between.
    middle: String,
}

impl TextStep {
    fn between(label: &str, pattern: Option<&PatternId>, near: &str, far: &str) -> Self {
        let n_most = near.len().min(far.len());
        let mut n_before = near
            .bytes()
            .zip(far.bytes())
            .take_while(|(one, other)| one == other)
            .count();
        while !(near.is_char_boundary(n_before) && far.is_char_boundary(n_before)) {
            n_before -= 1;
        }
        let mut n_after = near
            .bytes()
            .rev()
            .zip(far.bytes().rev())
            .take(n_most - n_before)
            .take_while(|(one, other)| one == other)
            .count();
        while !(near.is_char_boundary(near.len() - n_after)
            && far.is_char_boundary(far.len() - n_after))
        {
            n_after -= 1;
        }
        Self {
            label: label.to_owned(),
            pattern: pattern.cloned(),
            n_before,
            n_after,
            middle: far
                .get(n_before..far.len() - n_after)
                .unwrap_or_default()
                .to_owned(),
        }
    }

    /// The text on the far side.
    fn far(&self, near: &str) -> Option<Rc<str>> {
        let before = near.get(..self.n_before)?;
        let after = near.get(near.len().checked_sub(self.n_after)?..)?;
        Some([before, &self.middle, after].concat().into())
    }

    fn write(&self, direction: &str, into: &mut String) {
        let pattern = self.pattern.as_ref().map_or("", PatternId::as_str);
        let label = self.label.replace(['\t', '\n'], " ");
        into.push_str(&format!(
            "{direction}\t{}\t{}\t{}\t{pattern}\t{label}\n{}\n",
            self.n_before,
            self.n_after,
            self.middle.len(),
            self.middle
        ));
    }

    /// The first step of a text, its direction, and what comes after it.
    fn read(text: &str) -> Option<(&str, Self, &str)> {
        let (line, rest) = text.split_once('\n')?;
        let mut parts = line.splitn(6, '\t');
        let direction = parts.next()?;
        let mut number = || parts.next()?.parse::<usize>().ok();
        let (n_before, n_after, n_middle) = (number()?, number()?, number()?);
        let pattern = PatternId::new(parts.next()?).ok();
        let label = parts.next()?.to_owned();
        let middle = rest.get(..n_middle)?.to_owned();
        let rest = rest.get(n_middle..)?.strip_prefix('\n')?;
        let step = Self {
            label,
            pattern,
            n_before,
            n_after,
            middle,
        };
        Some((direction, step, rest))
    }
}

impl TextSteps {
    /// Labels, the next one last.
    pub(super) fn labels(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.steps.iter().map(|step| step.label.as_str())
    }

    /// Takes the next step; none at the end, or when its text cannot be read.
    pub(super) fn next(&mut self) -> Option<(Snapshot, String)> {
        let step = self.steps.pop()?;
        let far = step.far(&self.near)?;
        let program = (self.format.read)(&far)?;
        self.near = far;
        let snapshot = Snapshot {
            program: Rc::new(program),
            selection: Rc::default(),
            open_pattern: step.pattern,
        };
        Some((snapshot, step.label))
    }
}

impl History {
    /// The latest steps as a text, to be kept beside the text of the present document.
    ///
    /// `written` is what the last call left there; what it holds is not written again.
    #[must_use]
    pub fn to_text(
        &self,
        present: &Rc<Program>,
        format: TextFormat,
        written: &mut WrittenTexts,
    ) -> String {
        let near = written.text(present, format);
        let mut text = format!("{}\n", checksum(&near));
        let mut needed = vec![present.clone()];
        for (direction, steps, texts) in [
            ("undo", &self.done, &self.earlier),
            ("redo", &self.undone, &self.later),
        ] {
            let texts = texts.as_deref();
            write_steps(
                (direction, present),
                (steps, texts),
                (format, written),
                &mut text,
            );
            // Those next to the present are compared with what comes next, the last one with what is still a text.
            let ends = [steps.last(), steps.first()];
            needed.extend(
                ends.into_iter()
                    .flatten()
                    .map(|step| step.snapshot.program.clone()),
            );
        }
        let is_needed =
            |program: &Rc<Program>| needed.iter().any(|known| Rc::ptr_eq(known, program));
        written.texts.retain(|(program, _)| is_needed(program));
        let is_reached = |program: &Rc<Program>| {
            let mut steps = self.done.iter().chain(self.undone.iter());
            Rc::ptr_eq(present, program)
                || steps.any(|step| Rc::ptr_eq(&step.snapshot.program, program))
        };
        // A run of moves has left its earlier ends behind.
        written
            .steps
            .retain(|(near, far, _)| is_reached(near) && is_reached(far));
        text
    }

    /// The steps kept in a text beside the text of the present document; none when they belong to another.
    #[must_use]
    pub fn from_text(text: &str, present: &str, format: TextFormat) -> Option<Self> {
        let (sum, mut rest) = text.split_once('\n')?;
        if sum != checksum(present).to_string() {
            return None;
        }
        let near: Rc<str> = present.into();
        let mut both = [Vec::new(), Vec::new()];
        while let Some((direction, step, after)) = TextStep::read(rest) {
            let [earlier, later] = &mut both;
            match direction {
                "undo" => earlier.push(step),
                "redo" => later.push(step),
                _ => return None,
            }
            rest = after;
        }
        let [earlier, later] = both.map(|mut steps| {
            steps.reverse();
            (!steps.is_empty()).then(|| {
                Rc::new(TextSteps {
                    near: near.clone(),
                    steps,
                    format,
                })
            })
        });
        Some(Self {
            earlier,
            later,
            ..Self::default()
        })
    }
}

/// Writes the steps of one direction, the next one first, as far as there is room.
fn write_steps(
    (direction, present): (&str, &Rc<Program>),
    (steps, texts): (&[Step], Option<&TextSteps>),
    (format, written): (TextFormat, &mut WrittenTexts),
    text: &mut String,
) {
    let mut near = present;
    let mut n_steps = 0;
    let mut put = |step: &TextStep| {
        let length = text.len();
        step.write(direction, text);
        n_steps += 1;
        let fits = n_steps <= MOST_STEPS && text.len() <= MOST_BYTES;
        if !fits {
            text.truncate(length);
        }
        fits
    };
    for step in steps.iter().rev() {
        if written.n_bytes() > MOST_TEXT_BYTES || !put(&written.step(near, step, format)) {
            return;
        }
        near = &step.snapshot.program;
    }
    if let Some(texts) = texts
        && texts.near == written.text(near, format)
    {
        for step in texts.steps.iter().rev() {
            if !put(step) {
                return;
            }
        }
    }
}

/// FNV-1a with 64 bits, to tell one document's text from another; constants from memory, any odd multiplier would do.
fn checksum(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
