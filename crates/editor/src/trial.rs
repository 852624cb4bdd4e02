//! A pattern tried out: judged under the chosen profile as if it alone played on some heads, and brought into the program.
//!
//! Invariant: trying changes nothing; a rule that the profile limits to some states or patterns counts as if it looked here too, so that nothing forbidden passes because of where it is tried.
//! Absent: rules of the program as a whole, which are judged once the pattern is in it.

use crate::builder::{Arrangement, PulseLength, Wish, build, free_id};
use crate::preview::{Speed, safe_speed};
use crate::results::directions;
use crate::{EditorState, bind_lanes};
use lampwright_analysis::check_state;
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::{Finding, FoundIn, Report, Verdict, WorstDirection};
use lampwright_analysis::rules::CheckSettings;
use lampwright_model::{
    Action, Alternative, Binding, Color, Condition, Drive, Edit, Emitter, Head, HeadId, Item,
    Layer, LayerId, Millidegrees, Millimeters, Parts, Pattern, PatternId, Profile, Program,
    RuleCode, Severity, State, Target, Vehicle, resolve,
};

/// The verdict on a pattern in one word.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Class {
    /// Nothing found.
    Clean,
    /// Nothing but remarks.
    Remarks,
    /// Warnings and no error.
    Warnings,
    /// Errors.
    Errors,
}

impl Class {
    /// The plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Clean => "nothing found",
            Self::Remarks => "infos",
            Self::Warnings => "warnings",
            Self::Errors => "errors",
        }
    }
}

/// One rule that a pattern fails.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// The rule.
    pub code: RuleCode,
    /// How grave its gravest finding is.
    pub severity: Severity,
    /// What its first finding says, with measured value and limit.
    pub message: String,
    /// How many more findings it has.
    pub n_more: usize,
    /// Whether the profile asks for it in some states or of some patterns only.
    pub is_bound: bool,
}

/// What trying a pattern gave.
#[derive(Clone, Debug)]
pub struct Trial {
    /// What is wrong, gravest first.
    pub faults: Vec<Fault>,
    /// Rules that looked and found nothing.
    pub n_passed: usize,
    /// Rules of the profile that had nothing to look at, or did not look.
    pub n_not_judged: usize,
    /// Rules the profile chooses.
    pub n_chosen: usize,
    /// Heads that were lit by the pattern.
    pub n_heads: usize,
    /// Whether the heads are assumed, because the vehicle has none.
    pub is_assumed: bool,
    /// The worst direction; none when nothing is lit.
    pub worst: Option<WorstDirection>,
}

impl Trial {
    /// The verdict in one word.
    #[must_use]
    pub fn class(&self) -> Class {
        match self.faults.iter().map(|fault| fault.severity).max() {
            None => Class::Clean,
            Some(Severity::Info) => Class::Remarks,
            Some(Severity::Warning) => Class::Warnings,
            Some(Severity::Error) => Class::Errors,
        }
    }
}

/// On which heads a pattern is tried and used.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Scope {
    /// Those on the controller's clock that flash in the shown state; all when none does.
    #[default]
    Flashing,
    /// Those that are selected.
    Selected,
    /// All of the vehicle.
    All,
}

impl EditorState {
    /// The heads of a scope, in the vehicle's order.
    #[must_use]
    pub fn heads_of_scope(&self, scope: Scope) -> Vec<&Head> {
        let driven = self.driven();
        let heads = &self.program().vehicle.heads;
        let flashes = |index: usize| {
            heads.get(index).is_some_and(|head| head.clock.is_none())
                && flashes(&driven.drive, index)
        };
        let has_flashing = (0..heads.len()).any(flashes);
        heads
            .iter()
            .enumerate()
            .filter(|(index, head)| match scope {
                Scope::Flashing => !has_flashing || flashes(*index),
                Scope::Selected => self.selection().heads.contains(&head.id),
                Scope::All => true,
            })
            .map(|(_, head)| head)
            .collect()
    }

    /// A wish to begin with: the first of some usual ones that the profile has nothing against, or else the one it has least against.
    #[must_use]
    pub fn first_wish(&self, scope: Scope) -> Wish {
        let usual = |arrangement, rate, share| Wish {
            arrangement,
            rate,
            length: PulseLength::Share(share),
            ..Wish::default()
        };
        let wishes = [
            Wish::default(),
            usual(Arrangement::InStep, 75_000, 400),
            usual(Arrangement::InStep, 120_000, 400),
            usual(Arrangement::Alternating, 60_000, 480),
            usual(Arrangement::InStep, 60_000, 500),
        ];
        let mut best = (Wish::default(), Class::Errors);
        for wish in wishes {
            let class = build(&wish).map_or(Class::Errors, |built| {
                self.try_pattern(&built.pattern, scope).class()
            });
            if class < best.1 {
                best = (wish, class);
            }
            if class == Class::Clean {
                break;
            }
        }
        best.0
    }

    /// Judges a pattern as if it alone played on the heads of a scope; on assumed heads when there are none.
    #[must_use]
    pub fn try_pattern(&self, pattern: &Pattern, scope: Scope) -> Trial {
        let heads = self.heads_of_scope(scope);
        let program = self.program();
        if heads.is_empty() {
            let vehicle = assumed_vehicle(pattern);
            let table = directions(&vehicle);
            let bindings = bind_lanes(pattern, &vehicle.heads.iter().collect::<Vec<_>>());
            let profile = profile_for(&program.profile, true);
            let (trial, bound) = staged(vehicle, profile, pattern, bindings);
            return judged(&trial, &program.profile, &table, &bound, true);
        }
        let bindings = self.bound(pattern, &heads);
        let table = self.directions.get_or_init(|| directions(&program.vehicle));
        let profile = profile_for(&program.profile, false);
        let (trial, bound) = staged(program.vehicle.clone(), profile, pattern, bindings);
        judged(&trial, &program.profile, table, &bound, false)
    }

    /// What adds a pattern to the program, with a name for the step and the identifier it gets; played on the heads of a scope where one is given.
    ///
    /// It plays above all other layers, in the shown state only or in every state.
    ///
    /// # Errors
    /// When the scope has no head that a lane fits.
    pub fn use_pattern(
        &self,
        pattern: &Pattern,
        scope: Option<Scope>,
        is_everywhere: bool,
    ) -> Result<(String, Edit, PatternId), String> {
        let program = self.program();
        let id = free_id(program, &pattern.id);
        let mut pattern = pattern.clone();
        pattern.id = id.clone();
        let label = pattern.label.clone();
        let added = Edit::Put(Item::Pattern(pattern.clone()));
        let Some(scope) = scope else {
            return Ok((format!("Add pattern {label}"), added, id));
        };
        let bindings = self.bound(&pattern, &self.heads_of_scope(scope));
        if bindings.is_empty() {
            return Err("no head fits a lane of this pattern, add or select heads first".into());
        }
        let layer = Layer {
            id: free_layer(program)?,
            label: label.clone(),
            when: if is_everywhere {
                Condition::always()
            } else {
                only_in(program, &self.shown_state())
            },
            action: Action::Play {
                pattern: id.clone(),
                bindings,
            },
        };
        let edit = Edit::Together(vec![added, Edit::Insert(0, Item::Layer(layer))]);
        Ok((format!("Play {label}"), edit, id))
    }
}

impl EditorState {
    /// The lanes bound to heads; a head that flashes in the shown state keeps the color it flashes in.
    fn bound(&self, pattern: &Pattern, heads: &[&Head]) -> Vec<Binding> {
        let driven = self.driven();
        let known = &self.program().vehicle.heads;
        let color_of = |target: &Target| {
            let index = known
                .iter()
                .position(|head| *target == Target::Head(head.id.clone()))?;
            let emitters = known.get(index)?.emitters.iter();
            let mut flashing = emitters
                .zip(&driven.drive.heads.get(index)?.emitters)
                .filter(|(_, driven)| !driven.level.is_constant());
            flashing.next().map(|(emitter, _)| emitter.color)
        };
        let mut bindings: Vec<Binding> = Vec::new();
        for binding in bind_lanes(pattern, heads) {
            for target in &binding.heads {
                let color = binding.color.or_else(|| color_of(target));
                let same = bindings
                    .iter_mut()
                    .find(|known| known.lane == binding.lane && known.color == color);
                match same {
                    Some(same) => same.heads.push(target.clone()),
                    None => bindings.push(Binding {
                        heads: vec![target.clone()],
                        color,
                        ..binding.clone()
                    }),
                }
            }
        }
        bindings
    }
}

/// The fastest speed at which a lamp for every lane, seen together, flashes no more than three times in a second.
#[must_use]
pub fn safe_lane_speed(pattern: &Pattern) -> Speed {
    let vehicle = assumed_vehicle(pattern);
    let bindings = bind_lanes(pattern, &vehicle.heads.iter().collect::<Vec<_>>());
    let (program, _) = staged(vehicle, Profile::default(), pattern, bindings);
    safe_speed(&program, &resolve(&program, &State::default_of(&program)))
}

fn flashes(drive: &Drive, index: usize) -> bool {
    drive.heads.get(index).is_some_and(|head| {
        head.emitters
            .iter()
            .any(|emitter| !emitter.level.is_constant())
    })
}

/// Holds in one state alone.
fn only_in(program: &Program, state: &State) -> Condition {
    let values = program
        .signals
        .iter()
        .filter_map(|signal| {
            let value = state.value(program, &signal.id)?.clone();
            Some((signal.id.clone(), vec![value]))
        })
        .collect();
    Condition(vec![Alternative(values)])
}

fn free_layer(program: &Program) -> Result<LayerId, String> {
    let is_free = |id: &LayerId| {
        !program.layers.iter().any(|layer| layer.id == *id)
            && !program.dims.iter().any(|dim| dim.id == *id)
    };
    (1..100_000_u32)
        .filter_map(|number| LayerId::new(&format!("play-{number}")).ok())
        .find(is_free)
        .ok_or_else(|| "there is no free name for a layer".into())
}

/// The profile without its limits to states and patterns; choices that name patterns are for those alone, and on assumed heads so are those that name heads.
fn profile_for(profile: &Profile, is_assumed: bool) -> Profile {
    let mut profile = profile.clone();
    profile
        .rules
        .retain(|choice| choice.only_patterns.is_empty());
    for choice in &mut profile.rules {
        choice.when = None;
        choice.except_patterns.clear();
        if is_assumed {
            choice.heads.clear();
        }
    }
    profile
}

/// A program in which the pattern alone plays, and how many heads it lights.
fn staged(
    vehicle: Vehicle,
    profile: Profile,
    pattern: &Pattern,
    bindings: Vec<Binding>,
) -> (Program, Vec<HeadId>) {
    let mut bound: Vec<HeadId> = Vec::new();
    for head in &vehicle.heads {
        let target = Target::Head(head.id.clone());
        if bindings
            .iter()
            .any(|binding| binding.heads.contains(&target))
        {
            bound.push(head.id.clone());
        }
    }
    let layers = LayerId::new("trial")
        .into_iter()
        .map(|id| Layer {
            id,
            label: pattern.label.clone(),
            when: Condition::always(),
            action: Action::Play {
                pattern: pattern.id.clone(),
                bindings: bindings.clone(),
            },
        })
        .collect();
    let parts = Parts {
        vehicle,
        profile,
        layers,
        patterns: vec![pattern.clone()],
        ..Parts::default()
    };
    (Program::admit(parts).0, bound)
}

fn judged(
    program: &Program,
    chosen: &Profile,
    table: &DirectionTable,
    bound: &[HeadId],
    is_assumed: bool,
) -> Trial {
    let settings = CheckSettings::default();
    let state = State::default_of(program);
    let (_, report) = check_state(program, FoundIn::DefaultState, &state, table, &settings);
    // What is found in the dark too is wrong with the vehicle whatever it plays, and not the pattern's fault.
    let mut dark = program.to_parts();
    dark.layers.clear();
    let dark = Program::admit(dark).0;
    let (_, in_the_dark) = check_state(&dark, FoundIn::DefaultState, &state, table, &settings);
    let is_chosen = |code: RuleCode| chosen.rules.iter().any(|choice| choice.code == code);
    let of_profile = |is: fn(&Verdict) -> bool| {
        report
            .outcomes
            .iter()
            .filter(|outcome| is_chosen(outcome.code) && is(&outcome.verdict))
            .count()
    };
    Trial {
        faults: faults(&report, chosen, &in_the_dark.findings),
        n_passed: of_profile(|verdict| matches!(verdict, Verdict::Passed { .. })),
        n_not_judged: of_profile(|verdict| {
            matches!(
                verdict,
                Verdict::NotApplicable { .. } | Verdict::NotEvaluated { .. }
            )
        }),
        n_chosen: report.n_rules_chosen,
        n_heads: bound.len(),
        is_assumed,
        worst: report.screened.first().and_then(|screened| screened.worst),
    }
}

/// One entry per rule; findings are sorted with the gravest first.
fn faults(report: &Report, chosen: &Profile, known: &[Finding]) -> Vec<Fault> {
    let mut faults: Vec<Fault> = Vec::new();
    for finding in &report.findings {
        let is_known = known
            .iter()
            .any(|known| known.code == finding.code && known.message == finding.message);
        if is_known {
            continue;
        }
        match faults.iter_mut().find(|fault| fault.code == finding.code) {
            Some(fault) => fault.n_more += 1,
            None => faults.push(Fault {
                code: finding.code,
                severity: finding.severity,
                message: finding.message.clone(),
                n_more: 0,
                is_bound: chosen.rules.iter().any(|choice| {
                    choice.code == finding.code
                        && (choice.when.is_some() || !choice.except_patterns.is_empty())
                }),
            }),
        }
    }
    faults
}

/// How far apart assumed heads stand, in millimeters.
const APART_MM: i64 = 200;

/// A vehicle of usual size with one assumed head per lane in a row across the front of its roof, in the color of the lane's pulses or amber.
fn assumed_vehicle(pattern: &Pattern) -> Vehicle {
    let mut vehicle = Vehicle::default();
    let n_lanes = i64::try_from(pattern.lanes.len()).unwrap_or(0).max(1);
    for number in 0..n_lanes {
        let color = usize::try_from(number)
            .ok()
            .and_then(|index| pattern.lanes.get(index))
            .and_then(|lane| lane.pulses.first())
            .and_then(|pulse| pulse.color)
            .unwrap_or(Color::Amber);
        let head = HeadId::new(&format!("assumed-{}", number + 1)).map(|id| Head {
            id,
            label: format!("Assumed head {}", number + 1),
            x: Millimeters(800),
            y: Millimeters((n_lanes - 1 - 2 * number) * APART_MM / 2),
            z: vehicle.outline.height,
            facing: Millidegrees(0),
            beam: None,
            emitters: vec![Emitter::of(color)],
            clock: None,
            tags: Vec::new(),
        });
        vehicle.heads.extend(head);
    }
    vehicle
}
