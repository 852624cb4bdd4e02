//! What follows from the shown program in the shown state.
//!
//! Computed on first use after a change, so that moves of a gesture between two frames cost nothing.
//! What every lamp does is always known at once; what is measured and judged of it too, unless that is so much work that it would hold up the hand: then it is done in steps, and nothing is said about it before the last one.

use crate::preview::{Speed, SpeedSearch};
use lampwright_analysis::facts::Facts;
use lampwright_analysis::light::{DirectionTable, ScreenedDirections};
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::{Judging, Measured, n_changes};
use lampwright_model::{Color, Drive, PatternId, Place, Program, RoleId, Vehicle};
use lampwright_timing::{Micros, SortedMap};
use std::cell::{OnceCell, RefCell};
use std::ops::Deref;
use std::rc::Rc;

/// What follows from a program in one state; reads like its [`Driven`].
#[derive(Clone, Debug)]
pub struct Results {
    driven: Rc<Driven>,
    /// What was measured.
    pub facts: Facts,
    /// What the chosen rules say about this state.
    pub report: Report,
    /// Flashes toward every direction.
    pub screened: ScreenedDirections,
    /// The fastest preview that stays at or below three flashes a second.
    pub safe_speed: Speed,
}

/// What every lamp does in one state, and which lanes make it do so.
#[derive(Clone, Debug)]
pub struct Driven {
    /// What every emitter does, and which layer decided it.
    pub drive: Drive,
    lanes: SortedMap<(PatternId, RoleId), LaneUsers>,
    /// What the preview draws where lanes are left out of it.
    drawn: Option<Drive>,
}

/// Whom a lane drives.
#[derive(Clone, Debug, Default)]
struct LaneUsers {
    heads: Vec<usize>,
    colors: Vec<Color>,
    /// How much later than the lane they play it.
    offsets: Vec<Micros>,
}

/// Weights of the directions around a vehicle; they hold while the vehicle stays.
#[must_use]
pub fn directions(vehicle: &Vehicle) -> DirectionTable {
    DirectionTable::new(vehicle, CheckSettings::default().light)
}

/// Most changes of light, as [`n_changes`] counts them, of what is judged within the very move of the hand.
///
/// The largest vehicle of the budgets has 200 and takes most of 8 ms (measured, see `cargo xtask bench`).
const MOST_AT_ONCE: usize = 1_000;

/// Whether judging takes so long that it has to wait for the hand to rest.
#[must_use]
pub fn is_long_to_judge(n_changes: usize) -> bool {
    n_changes > MOST_AT_ONCE
}

/// What follows from one program in one state, as far as it is known.
#[derive(Debug, Default)]
pub(crate) struct Consequences {
    driven: OnceCell<Rc<Driven>>,
    results: OnceCell<Rc<Results>>,
    work: RefCell<Option<Work>>,
}

/// Work under way.
enum Work {
    Judging(Box<Judging>),
    /// All is judged; the speed of the preview is not known yet.
    Speed(Box<(Measured, Report, SpeedSearch)>),
}

impl std::fmt::Debug for Work {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("Work")
    }
}

impl Consequences {
    /// What every lamp does.
    pub(crate) fn driven(&self, resolve: impl FnOnce() -> Driven) -> &Rc<Driven> {
        self.driven.get_or_init(|| Rc::new(resolve()))
    }

    /// What is measured and judged, once it is.
    pub(crate) fn results(&self) -> Option<&Rc<Results>> {
        self.results.get()
    }

    /// Does one step of judging; false when all is judged.
    pub(crate) fn judge(
        &self,
        program: &Program,
        driven: &Rc<Driven>,
        found_in: impl FnOnce() -> FoundIn,
        table: &DirectionTable,
    ) -> bool {
        if self.results.get().is_some() {
            return false;
        }
        let mut work = self.work.borrow_mut();
        let now = work.take().unwrap_or_else(|| {
            let drive = driven.drive.clone();
            let settings = CheckSettings::default();
            Work::Judging(Box::new(Judging::of_drive(found_in(), drive, settings)))
        });
        *work = match now {
            Work::Judging(mut judging) => {
                if judging.step(program, table) {
                    Some(Work::Judging(judging))
                } else {
                    judging.finish().and_then(|(mut measured, report)| {
                        let search = SpeedSearch::of(program, driven.drawn());
                        Some(Work::Speed(Box::new((measured.pop()?, report, search))))
                    })
                }
            }
            Work::Speed(mut judged) => {
                if judged.2.step() {
                    Some(Work::Speed(judged))
                } else {
                    let (measured, report, search) = *judged;
                    self.results.get_or_init(|| {
                        Rc::new(Results {
                            facts: measured.facts,
                            screened: measured.screened,
                            report,
                            safe_speed: search.found(),
                            driven: Rc::clone(driven),
                        })
                    });
                    None
                }
            }
        };
        work.is_some()
    }
}

impl Driven {
    /// Of a drive, and of the one that the preview draws where that is another.
    pub(crate) fn of(drive: Drive, drawn: Option<Drive>) -> Self {
        let mut lanes = SortedMap::<_, LaneUsers>::default();
        for (head_idx, head) in drive.heads.iter().enumerate() {
            for emitter in &head.emitters {
                for lane in &emitter.lanes {
                    lanes.change((lane.pattern.clone(), lane.lane.clone()), |users| {
                        if !users.heads.contains(&head_idx) {
                            users.heads.push(head_idx);
                        }
                        if !users.colors.contains(&emitter.color) {
                            users.colors.push(emitter.color);
                        }
                        if !users.offsets.contains(&lane.offset) {
                            users.offsets.push(lane.offset);
                        }
                    });
                }
            }
        }
        Self {
            drive,
            lanes,
            drawn,
        }
    }

    /// Whether judging it takes so long that it has to wait for the hand to rest.
    #[must_use]
    pub fn is_long_to_judge(&self) -> bool {
        is_long_to_judge(n_changes(&self.drive))
    }

    /// What the preview draws: what every emitter does, without the lanes that are left out.
    #[must_use]
    pub fn drawn(&self) -> &Drive {
        self.drawn.as_ref().unwrap_or(&self.drive)
    }

    /// The heads a lane lights in the shown state, as indices into the vehicle's heads, rising.
    #[must_use]
    pub fn heads_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> &[usize] {
        self.users(pattern, role)
            .map_or(&[], |users| users.heads.as_slice())
    }

    /// How much later than drawn a lane plays in the shown state, each once; empty when it drives nothing.
    #[must_use]
    pub fn offsets_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> &[Micros] {
        self.users(pattern, role)
            .map_or(&[], |users| users.offsets.as_slice())
    }

    /// The color a lane's pulses show in the shown state where they have none of their own; none when it is not just one.
    #[must_use]
    pub fn color_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> Option<Color> {
        match self.users(pattern, role)?.colors.as_slice() {
            [only] => Some(*only),
            _ => None,
        }
    }

    /// The letters of the colors a lane shows in the shown state where its pulses have none of their own: "A R"; empty when it drives nothing.
    #[must_use]
    pub fn letters_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> String {
        let colors = self.users(pattern, role).map(|users| &users.colors);
        let mut letters = String::new();
        for color in colors.into_iter().flatten() {
            if !letters.is_empty() {
                letters.push(' ');
            }
            letters.push(color.letter());
        }
        letters
    }

    fn users(&self, pattern: Option<&PatternId>, role: &RoleId) -> Option<&LaneUsers> {
        self.lanes.get(&(pattern?.clone(), role.clone()))
    }
}

impl Deref for Results {
    type Target = Driven;
    fn deref(&self) -> &Driven {
        &self.driven
    }
}

impl Results {
    /// The findings of the shown state that name a lane, gravest first.
    pub fn findings_of_lane<'a>(
        &'a self,
        pattern: &'a PatternId,
        role: &'a RoleId,
    ) -> impl Iterator<Item = &'a Finding> {
        self.report.findings.iter().filter(move |finding| {
            let names_it = |(known, lane): &(PatternId, RoleId)| known == pattern && lane == role;
            finding.counts()
                && (finding.lane.as_ref().is_some_and(names_it)
                    || matches!(&finding.place, Place::Lane(known, lane) if known == pattern && lane == role))
        })
    }
}
