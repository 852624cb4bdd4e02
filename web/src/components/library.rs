//! The pattern library: the person's own patterns first, then those that come with the app; found by words and figures, judged by the chosen profile, taken over with one press.
//!
//! Invariant: the list stands still; only the chosen pattern flashes, once asked to and from then on whichever is chosen, in small lamps and at the speed the core calls safe, and not before it has been chosen for more than a second.

use super::dialog::{Dialog, Props as DialogProps};
use super::fields::{WHOLE, decimal};
use super::table::micros;
use super::timeline::focus_soon;
use super::trying::{
    Desk, State, View, choice, drawn, everywhere, scopes, show_instant, takers, verdict,
};
use crate::platform::clock::Timeout;
use crate::platform::frame::FrameLoop;
use crate::platform::{beside, element, files};
use crate::shelf::{self, Kept};
use crate::tag::{Tag, button, columns, component, said, tag, text};
use lampwright_editor::EditorState;
use lampwright_editor::library::{Figures, Query, course};
use lampwright_editor::trial::{Class, safe_lane_speed};
use lampwright_formats::{MOST_BYTES, write_pattern};
use lampwright_model::Pattern;
use lampwright_timing::{Micros, Waveform};
use std::rc::Rc;
use web_sys::{Element, Event, HtmlInputElement};
use yew::prelude::*;

/// One pattern of the list.
struct Entry {
    kept: Kept,
    is_own: bool,
    figures: Figures,
    class: Option<Class>,
}

/// What is shown.
#[derive(Default)]
pub(crate) struct Shelf {
    entries: Vec<Entry>,
    n_own: usize,
    query: Query,
    chosen: usize,
    /// How often the search was cleared: its fields are made anew each time.
    n_cleared: usize,
    /// What was done last or what went wrong.
    news: String,
    /// What was removed last.
    removed: Option<Kept>,
    /// What came of the last dropped file, if this has been shown before.
    told: Option<AttrValue>,
    /// The entry judged next.
    judging: Option<Timeout>,
    /// The entry that flashes, and what makes it flash.
    playing: Option<(usize, FrameLoop)>,
}

/// Patterns judged between two paintings.
const AT_ONCE: usize = 3;

impl Shelf {
    /// Puts the own patterns in front of those that were read.
    fn put_own(&mut self) {
        self.entries.drain(..self.n_own);
        let own: Vec<Entry> = shelf::own()
            .into_iter()
            .map(|kept| entry(kept, true))
            .collect();
        self.n_own = own.len();
        self.entries.splice(0..0, own);
        self.chosen = 0;
        self.playing = None;
    }

    /// Takes over the text of a field, by its identifier.
    pub(crate) fn set(&mut self, id: &str, text: &str) {
        let number = micros(text).map(Micros::get);
        match id {
            "words" => text.clone_into(&mut self.query.words),
            "least" => self.query.least_rate = number,
            "most" => self.query.most_rate = number,
            "count" => self.query.n_pulses = number,
            "worst" => {
                self.query.worst = WORST
                    .iter()
                    .find(|(_, words)| *words == text)
                    .map(|(class, _)| *class);
            }
            _ => {}
        }
    }

    /// Forgets the verdicts, as they are not those of other heads.
    pub(crate) fn judge_anew(&mut self) {
        for entry in &mut self.entries {
            entry.class = None;
        }
    }

    /// The entries that are looked for, and the one that is shown: what is chosen, or the first if the search passes that over.
    fn found(&self) -> (Vec<usize>, Option<usize>) {
        let entries = self.entries.iter().enumerate();
        let fitting: Vec<usize> = entries
            .filter(|(_, entry)| self.fits(entry))
            .map(|(index, _)| index)
            .collect();
        let shown = if fitting.contains(&self.chosen) {
            Some(self.chosen)
        } else {
            fitting.first().copied()
        };
        (fitting, shown)
    }

    /// Lets the shown entry flash if another did, and none where less motion is wanted.
    fn play_on(&mut self, shown: Option<usize>, has_reduced_motion: bool) {
        let Some((playing, _)) = self.playing else {
            return;
        };
        if has_reduced_motion {
            self.playing = None;
        } else if shown != Some(playing) {
            self.playing = shown.and_then(|index| self.play(index));
        }
    }

    fn play(&self, index: usize) -> Option<(usize, FrameLoop)> {
        Some((index, play(&self.entries.get(index)?.kept.pattern)))
    }

    fn fits(&self, entry: &Entry) -> bool {
        let Kept { pattern, about } = &entry.kept;
        self.query
            .fits(&pattern.label, about, &entry.figures, entry.class)
    }
}

fn entry(kept: Kept, is_own: bool) -> Entry {
    Entry {
        figures: Figures::of(&kept.pattern),
        kept,
        is_own,
        class: None,
    }
}

/// The gravest verdict that will do, with its words.
const WORST: [(Class, &str); 3] = [
    (Class::Clean, "nothing found"),
    (Class::Remarks, "at most infos"),
    (Class::Warnings, "at most warnings"),
];

impl Desk {
    /// Reads what comes with the app.
    fn load(&self) {
        let desk = self.clone();
        beside::read("patterns.txt", move |text| {
            desk.change(|State { shelf, .. }| match text {
                Ok(text) => {
                    let read = shelf::patterns(&text).into_iter();
                    shelf.entries.extend(read.map(|kept| entry(kept, false)));
                }
                Err(found) => shelf.news = format!("The pattern library: {found}"),
            });
        });
    }

    /// Judges the entries that are not judged yet, a few at a time.
    fn judge_soon(&self, editor: &Rc<EditorState>) {
        let shelf = &mut self.state.borrow_mut().shelf;
        if shelf.judging.is_some() || shelf.entries.iter().all(|entry| entry.class.is_some()) {
            return;
        }
        let (desk, editor) = (self.clone(), editor.clone());
        shelf.judging = Timeout::new(0, move || {
            desk.change(|State { shelf, scope, .. }| {
                let open = shelf
                    .entries
                    .iter_mut()
                    .filter(|entry| entry.class.is_none());
                for entry in open.take(AT_ONCE) {
                    entry.class = Some(editor.try_pattern(&entry.kept.pattern, *scope).class());
                }
                if let Some(done) = shelf.judging.take() {
                    // It is what runs at the moment, and must not be dropped from within itself.
                    std::mem::forget(done);
                }
            });
        });
    }

    /// Looks for nothing in particular.
    fn clear(&self) {
        self.change(|State { shelf, .. }| {
            shelf.query = Query::default();
            shelf.n_cleared += 1;
        });
        focus_soon("words");
    }

    /// Shows the own patterns as they are now, with what came of a change.
    fn tell(&self, news: String, removed: Option<Kept>) {
        self.change(|State { shelf, .. }| {
            shelf.put_own();
            shelf.news = news;
            shelf.removed = removed;
        });
    }

    fn import(&self, event: &Event) {
        let input = event.target_dyn_into::<HtmlInputElement>();
        let file = input
            .and_then(|input| input.files())
            .and_then(|files| files.get(0));
        let Some(file) = file else {
            return;
        };
        let desk = self.clone();
        files::read(&file, MOST_BYTES, move |name, bytes| {
            let news = bytes.and_then(|bytes| shelf::import(&name, &bytes));
            desk.tell(news.unwrap_or_else(|problem| problem), None);
        });
    }
}

/// The pattern library.
pub(crate) fn shown(view: &View, news: &AttrValue) -> Html {
    let (desk, document) = (&view.desk, &view.document);
    let told = {
        let shelf = &mut desk.state.borrow_mut().shelf;
        let told = shelf.told.replace(news.clone());
        if told.as_ref() != Some(news) {
            shelf.put_own();
            shelf.news = news.to_string();
            shelf.removed = None;
        }
        told
    };
    if told.is_none() {
        desk.load();
    }
    desk.judge_soon(document.editor());
    let (fitting, chosen) = {
        let shelf = &mut desk.state.borrow_mut().shelf;
        let (fitting, chosen) = shelf.found();
        shelf.play_on(chosen, view.has_reduced_motion);
        (fitting, chosen)
    };
    let state = desk.state.borrow();
    let State { shelf, scope, .. } = &*state;
    let input = |id: &'static str, hint| {
        tag("input", "input")
            .with("id", id)
            .with("placeholder", hint)
            .flag("autofocus", id == "words")
            .on_input(desk.on_input(id))
    };
    let field = |label: &'static str, input: Tag| {
        tag("label", "field")
            .tag(said("span", "", label))
            .tag(input)
    };
    let number =
        |id: &'static str, label: &'static str| field(label, decimal(input(id, "any"), WHOLE));
    let any = (String::new(), "any".to_owned(), shelf.query.worst.is_none());
    let worst = WORST.iter().map(|(class, words)| {
        let words = (*words).to_owned();
        (words.clone(), words, shelf.query.worst == Some(*class))
    });
    let worst = std::iter::once(any).chain(worst);
    let asked = tag("div", "controls")
        .key(shelf.n_cleared.to_string())
        .with("role", "search")
        .with("aria-label", "Patterns")
        .tag(field(
            "Words",
            input("words", "double, sweep, arrow").with("type", "search"),
        ))
        .tag(number("least", "Least per minute"))
        .tag(number("most", "Most per minute"))
        .tag(number("count", "Pulses per flash"))
        .tag(choice("Verdict", "worst", worst, desk.on_change("worst")))
        .tag(scopes(view, "library-scope"));
    let n_open = shelf
        .entries
        .iter()
        .filter(|entry| entry.class.is_none())
        .count();
    let mut count = format!("{} of {} patterns", fitting.len(), shelf.entries.len());
    if n_open > 0 {
        count.push_str(&format!(", {n_open} not judged yet"));
    }
    if let Some(why) = shelf.query.why_empty() {
        count.push_str(": ");
        count.push_str(why);
    }
    let clearing = desk.clone();
    let clear = (fitting.is_empty() && !shelf.entries.is_empty()).then(|| {
        button(
            "Clear the search",
            Callback::from(move |_: MouseEvent| clearing.clear()),
        )
    });
    let rows = fitting.iter().filter_map(|index| {
        let choosing = desk.clone();
        let index = *index;
        let on_choose = Callback::from(move |_: Event| {
            choosing.change(|State { shelf, .. }| shelf.chosen = index);
        });
        Some(row(
            shelf.entries.get(index)?,
            index,
            chosen == Some(index),
            on_choose,
        ))
    });
    let list = tag("div", "wide listed").tag(
        tag("table", "")
            .tag(columns(&[
                ("Pattern", false),
                ("Lanes", false),
                ("Rate", true),
                ("Pulses", true),
                ("Verdict", false),
            ]))
            .tag(tag("tbody", "").tags(rows)),
    );
    let importing = desk.clone();
    let keeping = desk.clone();
    let open = document.open_pattern().cloned();
    let keep_open = Callback::from(move |_: MouseEvent| {
        if let Some(pattern) = &open {
            let news = match shelf::keep(pattern, "") {
                Ok(()) => format!("Kept {}", pattern.label),
                Err(problem) => format!("{} was not kept: {}", pattern.label, problem.text()),
            };
            keeping.tell(news, None);
        }
    });
    let own = tag("div", "row")
        .tag(
            button("Keep the open pattern", keep_open)
                .flag("disabled", document.open_pattern().is_none()),
        )
        .tag(
            tag("label", "row").say("Import a pattern file").tag(
                tag("input", "")
                    .with("type", "file")
                    .with("id", "pattern-file")
                    .with("accept", ".json,application/json")
                    .on_change(Callback::from(move |event: Event| importing.import(&event))),
            ),
        );
    let detail = chosen.and_then(|index| {
        let entry = shelf.entries.get(index)?;
        let trial = document.try_pattern(&entry.kept.pattern, *scope);
        let is_playing = shelf.playing.is_some();
        // Made anew with every start, stop and choice, so that no lamp stays lit.
        let anew = format!("{is_playing} {index} {}", entry.kept.pattern.id);
        Some(
            tag("section", "column")
                .with("aria-label", "Chosen pattern")
                .tag(text("h3", "", entry.kept.pattern.label.clone()).with("id", "chosen"))
                .tag(takers(view, Some(&entry.kept.pattern)))
                .tags(everywhere(view).into_iter())
                .tag(
                    tag("figure", "example")
                        .key(anew.clone())
                        .tag(drawn(&entry.kept.pattern, true)),
                )
                .tag(lamps(view, entry, index, anew, is_playing))
                .tags(
                    entry
                        .kept
                        .about
                        .lines()
                        .map(|line| text("p", "", line.to_owned())),
                )
                .tag(handing(desk, &entry.kept, entry.is_own))
                .tag(verdict(&trial, &document.program().profile.title)),
        )
    });
    let restoring = desk.clone();
    let put_back = shelf.removed.clone().map(|removed| {
        let put_back = Callback::from(move |_: MouseEvent| {
            let label = &removed.pattern.label;
            match shelf::keep(&removed.pattern, &removed.about) {
                Ok(()) => restoring.tell(format!("Put back {label}"), None),
                Err(problem) => restoring.tell(
                    format!("{label} was not put back: {}", problem.text()),
                    Some(removed.clone()),
                ),
            }
        });
        button("Put it back", put_back)
    });
    let found = tag("div", "column")
        .tag(asked)
        .tag(
            tag("div", "row")
                .tag(
                    text("p", "quiet", count)
                        .with("id", "library-count")
                        .with("role", "status"),
                )
                .maybe(clear),
        )
        .tag(list)
        .tag(own)
        .tag(
            tag("div", "row")
                .tag(
                    text("p", "", shelf.news.clone())
                        .with("id", "library-news")
                        .with("role", "status"),
                )
                .maybe(put_back),
        );
    component::<Dialog>(DialogProps {
        id: AttrValue::Static("library"),
        title: AttrValue::Static("Pattern library"),
        on_close: view.on_close.clone(),
        close: AttrValue::Static("Close"),
        children: tag("div", "beside").tag(found).maybe(detail).done(),
        buttons: Html::default(),
    })
}

/// A row of the list; the radio button in it makes arrow keys go from row to row.
fn row(entry: &Entry, index: usize, is_chosen: bool, on_choose: Callback<Event>) -> Tag {
    let Kept { pattern, about } = &entry.kept;
    let id = format!("pattern-{index}");
    let first = about.lines().next().unwrap_or_default().to_owned();
    let own = entry.is_own.then(|| said("span", "tag", "yours"));
    let (verdict, class) = match entry.class {
        None => ("…", ""),
        Some(class) => (
            class.name(),
            match class {
                Class::Clean => "severity passed",
                Class::Remarks => "severity info",
                Class::Warnings => "severity warning",
                Class::Errors => "severity error",
            },
        ),
    };
    let name = tag("label", "")
        .with_text("for", id.clone())
        .text(pattern.label.clone())
        .say(" ")
        .tags(own.into_iter());
    tag("tr", "")
        .key(if entry.is_own {
            id.clone()
        } else {
            pattern.id.to_string()
        })
        .with_if(is_chosen, "class", "is-selected")
        .tag(
            tag("td", "")
                .tag(
                    tag("input", "")
                        .with("type", "radio")
                        .with("name", "pattern")
                        .with_text("id", id)
                        .checked(is_chosen)
                        .on_change(on_choose),
                )
                .tag(name)
                .tag(text("p", "quiet", first)),
        )
        .tag(tag("td", "example thumb").tag(drawn(pattern, false)))
        .tag(text("td", "number", entry.figures.rate_text()))
        .tag(text(
            "td",
            "number",
            match entry.figures.n_pulses {
                0 => "–".into(),
                n => n.to_string(),
            },
        ))
        .tag(said("td", class, verdict))
}

/// Export, and removal of what is the person's own.
fn handing(desk: &Desk, kept: &Kept, is_own: bool) -> Tag {
    let (exporting, removing) = (desk.clone(), desk.clone());
    let (exported, removed) = (kept.clone(), kept.clone());
    let on_export = Callback::from(move |_: MouseEvent| {
        let Kept { pattern, about } = &exported;
        let text = write_pattern(pattern, about);
        if let Err(problem) = files::download(&files::file_name(&pattern.label), &text) {
            exporting.change(|state| state.shelf.news = problem);
        }
    });
    let on_remove = Callback::from(move |_: MouseEvent| {
        shelf::forget(&removed);
        let news = format!("Removed {}", removed.pattern.label);
        removing.tell(news, Some(removed.clone()));
    });
    tag("div", "row")
        .tag(button("Export as a file", on_export))
        .tags(
            is_own
                .then(|| button("Remove from yours", on_remove))
                .into_iter(),
        )
}

/// How long a pattern has to be chosen before its lamps light: no second holds flashes of two, and going through the list does not flash.
const DARK_FIRST_MS: f64 = 1100.0;

/// The courses of a pattern's lanes.
fn courses(pattern: &Pattern) -> Vec<Waveform> {
    let lanes = pattern.lanes.iter();
    lanes.filter_map(|lane| course(pattern, lane)).collect()
}

/// A lamp per lane that flashes slowly when asked to.
fn lamps(view: &View, entry: &Entry, index: usize, anew: String, is_playing: bool) -> Tag {
    let is_still = view.has_reduced_motion;
    let pattern = &entry.kept.pattern;
    let per_mille = safe_lane_speed(pattern).per_mille();
    let dots = (0..courses(pattern).len()).map(|index| {
        tag("span", "dot")
            .with_text("id", format!("dot-{index}"))
            .with("data-level", "0")
    });
    let dots = tag("div", "row dots")
        .key(anew)
        .with("aria-hidden", "true")
        .tags(dots);
    let desk = view.desk.clone();
    let on_play = Callback::from(move |_: MouseEvent| {
        desk.change(|State { shelf, .. }| {
            shelf.playing = match shelf.playing.take() {
                Some(_) => None,
                None => shelf.play(index),
            };
        });
    });
    let words = if is_playing { "Stop" } else { "Play slowed" };
    tag("div", "row")
        .tag(
            button(words, on_play)
                .with("id", "play-pattern")
                .flag("disabled", is_still || per_mille == 0 && !is_playing),
        )
        .tag(dots)
        .tag(text(
            "span",
            "quiet",
            if is_still {
                "still, as your system asks for less motion".into()
            } else {
                format!(
                    "at {} % of its speed, at most three flashes a second",
                    per_mille / 10
                )
            },
        ))
}

/// Lights the lamps of a pattern's lanes at its safe speed, in tenths of full, and moves a line over the drawn lanes.
fn play(pattern: &Pattern) -> FrameLoop {
    let per_mille = safe_lane_speed(pattern).per_mille();
    let (courses, period) = (courses(pattern), pattern.period);
    let mut start = None;
    let mut shown: Vec<i64> = courses.iter().map(|_| 0).collect();
    FrameLoop::new(move |time_ms| {
        let elapsed = time_ms - *start.get_or_insert(time_ms) - DARK_FIRST_MS;
        if elapsed < 0.0 {
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "microseconds since the button was pressed"
        )]
        let at = Micros((elapsed * f64::from(per_mille)) as i64);
        show_instant(at, period);
        for (index, (course, before)) in courses.iter().zip(&mut shown).enumerate() {
            let level = (course.value_at(at) + 99) / 100;
            if level != *before
                && let Some(dot) = element::<Element>(&format!("dot-{index}"))
            {
                *before = level;
                let _ = dot.set_attribute("data-level", &level.to_string());
            }
        }
    })
}
