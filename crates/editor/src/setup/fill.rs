//! Puts what was filled into a form into the program, or says why not.
//!
//! Invariant: pure; the edit was tried, so what is refused is refused before it is sent.

use super::form::{Control, How, Row};
use super::points::{fraction, points, two_numbers};
use super::renaming::{renamed, renamed_everywhere, renamed_values};
use super::{missing, named, owner, words};
use crate::{EditorState, bind_lanes};
use lampwright_formats::Thing;
use lampwright_model::{Action, Edit, EditError, Item, ItemId, Layer, PatternId, Program, Target};
use lampwright_timing::Level;

/// The labelled edit that puts a value at a path of some things of one kind; no things at all are the program and the vehicle as a whole.
///
/// # Errors
/// Why the value is refused, in a few words.
pub fn fill(
    state: &EditorState,
    ids: &[ItemId],
    path: &str,
    how: How,
    value: &str,
) -> Result<Edit, String> {
    let program = state.program();
    let edit = if ids.is_empty() {
        let mut thing = Thing::of_title(program);
        change(&mut thing, path, how, value)?;
        let parts = thing.title().map_err(|problem| words(&problem))?;
        Edit::Together(vec![
            Edit::SetTitle {
                name: parts.name,
                about: parts.about,
            },
            Edit::SetVehicle {
                name: parts.vehicle.name,
                outline: parts.vehicle.outline,
                supply: parts.vehicle.supply,
            },
            Edit::SetImpossible(parts.impossible),
        ])
    } else {
        let has = |item: &Item| Thing::of(item).words(path).contains(&value);
        let is_in = ids.first().and_then(|id| program.item(id));
        let is_in = is_in.is_some_and(|item| has(&item));
        let mut edits = Vec::new();
        for id in ids {
            let item = program
                .item(id)
                .ok_or_else(|| format!("there is no {id}"))?;
            // What is shown is that of the first: the others come to be like it.
            if how == How::Member && has(&item) != is_in {
                continue;
            }
            edits.push(Edit::Put(filled(state, item, path, how, value)?));
        }
        let renamed = renamed_values(program, &edits);
        edits.extend(renamed_everywhere(program, &renamed));
        Edit::Together(edits)
    };
    tried(program, edit)
}

/// The edit, if the program takes it.
pub(super) fn tried(program: &Program, edit: Edit) -> Result<Edit, String> {
    match program.apply(&edit) {
        Ok(_) => Ok(edit),
        Err(EditError::Inconsistent(problems)) => {
            let problem = problems.first();
            let text = problem.map_or_else(String::new, words);
            let owner = problem.and_then(|problem| owner(program, &problem.path));
            Err(match (owner, &edit) {
                // What is wrong elsewhere is said with where.
                (Some((id, label)), Edit::Together(edits))
                    if !edits.iter().any(|edit| is_about(edit, &id)) =>
                {
                    format!("{label}: {text}")
                }
                _ => text,
            })
        }
        Err(error) => Err(error.to_string()),
    }
}

fn is_about(edit: &Edit, id: &ItemId) -> bool {
    matches!(edit, Edit::Put(item) if item.id() == *id)
}

/// An item with the value in it.
fn filled(
    state: &EditorState,
    item: Item,
    path: &str,
    how: How,
    value: &str,
) -> Result<Item, String> {
    let program = state.program();
    let selected = || -> Vec<String> {
        let heads = state.selection().heads.iter();
        heads.map(|head| format!("{value}{head}")).collect()
    };
    match (how, item) {
        (How::Act, Item::Layer(layer)) => act(state, layer, value).map(Item::Layer),
        (How::Pattern, Item::Layer(mut layer)) => {
            let pattern = PatternId::new(value).map_err(|error| error.to_string())?;
            let targets: Vec<Target> = layer.action.targets().cloned().collect();
            layer.action = played(program, &pattern, &targets)?;
            Ok(Item::Layer(layer))
        }
        (How::TakeState, Item::Situation(mut situation)) => {
            situation.values = state.shown_state().differences(program);
            Ok(Item::Situation(situation))
        }
        (how, item) => {
            let mut thing = Thing::of(&item);
            if how == How::SelectedHeads {
                let heads = selected();
                if heads.is_empty() {
                    return Err("no head is selected: select some on the plan".into());
                }
                let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
                thing.set_words(path, &heads);
            } else {
                change(&mut thing, path, how, value)?;
            }
            thing.item(&item.id()).map_err(|problem| words(&problem))
        }
    }
}

/// Puts a value into a thing.
fn change(thing: &mut Thing, path: &str, how: How, value: &str) -> Result<(), String> {
    match how {
        How::Text | How::Json | How::Number | How::Percent | How::Chromaticity
            if value.trim().is_empty() =>
        {
            thing.remove(path);
        }
        How::Text => thing.set_text(path, value.trim()),
        How::Words => {
            let words: Vec<&str> = value
                .split(',')
                .map(str::trim)
                .filter(|word| !word.is_empty())
                .collect();
            // A signal rests at its first value when the one it had is gone and not just renamed.
            let names = renamed(&thing.words(path), &words);
            let rests = ["default", "on_lost"].map(|member| {
                let lost = thing.word(member).filter(|now| !words.contains(now))?;
                let name = names.iter().find(|(old, _)| *old == lost);
                let name = name.map(|(_, new)| new).or(words.first());
                Some((
                    member,
                    name.map_or_else(String::new, |name| (*name).to_owned()),
                ))
            });
            if words.is_empty() {
                thing.remove(path);
            } else {
                thing.set_words(path, &words);
            }
            for (member, name) in rests.into_iter().flatten() {
                if path == "values" {
                    thing.set_text(member, &name);
                }
            }
        }
        How::Number => {
            thing.set_number(path, value, 0)?;
            let label = thing.word("label").unwrap_or_default();
            // What is entered is assumed no longer.
            let stated = missing::mark(path).and_then(|mark| label.strip_suffix(mark));
            if let Some(stated) = stated.map(str::to_owned) {
                thing.set_text("label", &stated);
            }
        }
        How::Percent => thing.set_number(path, value, 1)?,
        How::Share => thing.set_number(path, &fraction(value)?, 0)?,
        How::Chromaticity => {
            let (x, y) = two_numbers(value).ok_or("x and y wanted, such as 0.575, 0.424")?;
            thing.remove(path);
            thing.set_number(&format!("{path}/x"), x, 0)?;
            thing.set_number(&format!("{path}/y"), y, 0)?;
        }
        How::Points => thing.set_json(path, &points(value)?),
        How::Json => thing.set_json(path, value),
        How::OneOf(shapes) => {
            for shape in shapes {
                let member = format!("{path}/{}", shape.probe);
                thing.remove(&member);
            }
            thing.merge(path, value);
        }
        How::Add => {
            if path == "when" && !thing.has(path) {
                thing.set_json(path, "[{}]");
            }
            thing.set_json(&format!("{path}/{}", thing.n_items(path)), value);
        }
        How::Remove => thing.remove(path),
        How::Member => {
            let mut members: Vec<&str> = thing.words(path);
            let n_members = members.len();
            members.retain(|member| *member != value);
            if members.len() == n_members {
                members.push(value);
            }
            let members: Vec<String> = members.into_iter().map(str::to_owned).collect();
            let members: Vec<&str> = members.iter().map(String::as_str).collect();
            if members.is_empty() && path.starts_with("must/") {
                return Err("at least one color wanted".into());
            }
            if let Some((condition, _)) = path.rsplit_once('/')
                && condition.starts_with("impossible/")
            {
                if !thing.has(condition) {
                    thing.set_json(condition, "{}");
                }
                // A condition without a value would hold always, and no state would be left.
                if members.is_empty() {
                    thing.remove(path);
                    if thing.n_items(condition) == 0 {
                        thing.remove(condition);
                    }
                    return Ok(());
                }
            }
            if path.starts_with("when/") {
                if !thing.has("when") {
                    thing.set_json("when", "[{}]");
                }
                // A signal that allows no value would never let the condition hold.
                if members.is_empty() {
                    thing.remove(path);
                    return Ok(());
                }
            }
            thing.set_words(path, &members);
        }
        How::Style => {
            thing.set_text(path, value);
            let (least, most) = match value {
                "button" => (1, 1),
                "slide" => (2, usize::MAX),
                _ => (2, 2),
            };
            while thing.n_items("positions") > most {
                thing.remove(&format!("positions/{}", thing.n_items("positions") - 1));
            }
            while thing.n_items("positions") < least {
                let at = thing.n_items("positions");
                let fresh = format!(r#"{{"label": "{}", "sets": {{}}}}"#, at + 1);
                thing.set_json(&format!("positions/{at}"), &fresh);
            }
        }
        How::SelectedHeads | How::Act | How::Pattern | How::TakeState => {}
    }
    Ok(())
}

/// A layer that does something else with the same heads.
fn act(state: &EditorState, mut layer: Layer, what: &str) -> Result<Layer, String> {
    let program = state.program();
    let mut heads: Vec<Target> = Vec::new();
    for target in layer.action.targets() {
        if !heads.contains(target) {
            heads.push(target.clone());
        }
    }
    layer.action = match what {
        "play" => {
            let pattern = state
                .open_pattern()
                .or_else(|| program.patterns.first())
                .ok_or("there is no pattern yet: add one in the timeline")?;
            played(program, &pattern.id, &heads)?
        }
        "hold" => Action::Hold {
            heads,
            color: None,
            level: Level::FULL,
        },
        _ => Action::Dark { heads },
    };
    Ok(layer)
}

/// Plays a pattern on the heads of some targets, on all heads when there is none of them.
pub(super) fn played(
    program: &Program,
    pattern: &PatternId,
    targets: &[Target],
) -> Result<Action, String> {
    let known = program.patterns.iter().find(|known| known.id == *pattern);
    let known = known.ok_or_else(|| format!("there is no pattern {pattern}"))?;
    let mut addressed = program.heads_of(targets);
    if addressed.is_empty() {
        addressed = (0..program.vehicle.heads.len()).collect();
    }
    let heads: Vec<_> = addressed
        .into_iter()
        .filter_map(|index| program.vehicle.heads.get(index))
        .collect();
    Ok(Action::Play {
        pattern: pattern.clone(),
        bindings: bind_lanes(known, &heads),
    })
}

/// The edit that puts a value in place of what a row shows, with what the step is called.
///
/// # Errors
/// Why the value is refused, in a few words.
pub fn step(
    state: &EditorState,
    ids: &[ItemId],
    row: &Row,
    value: &str,
) -> Result<(String, Edit), String> {
    let edit = fill(state, ids, &row.path, row.how, value)?;
    let renamed = match &edit {
        Edit::Together(edits) => renamed_values(state.program(), edits),
        _ => Vec::new(),
    };
    let label = match renamed.as_slice() {
        [] => step_label(state, ids, row),
        [(_, old, new)] => {
            let of = named(state.program(), ids);
            format!("Rename value {old} of {of} to {new}")
        }
        more => {
            let of = named(state.program(), ids);
            format!("Rename {} values of {of}", more.len())
        }
    };
    Ok((label, edit))
}

/// What the step of a filled-in row is called: "Facing of Roof left", "Add emitter to Roof left".
#[must_use]
pub fn step_label(state: &EditorState, ids: &[ItemId], row: &Row) -> String {
    let label = match row.how {
        How::Points => "Points of the beam",
        _ => row.label.as_str(),
    };
    if ids.is_empty() {
        let is_impossible = row.path.starts_with("impossible");
        let place = if is_impossible {
            " in what cannot happen"
        } else {
            ""
        };
        return format!("{label}{place}");
    }
    // What follows a comma explains the field.
    let label = label.split(',').next().unwrap_or_default();
    let mut path = row.path.split('/');
    let part = match (
        path.next(),
        path.next().and_then(|at| at.parse::<usize>().ok()),
    ) {
        _ if row.how == How::Remove => String::new(),
        (Some("emitters"), Some(index)) => format!(" of emitter {}", index + 1),
        (Some("positions"), Some(index)) => format!(" of position {}", index + 1),
        (Some("when"), Some(_)) => " in a condition".to_owned(),
        _ => String::new(),
    };
    let link = match (row.how, &row.control) {
        (How::Add, _) => "to",
        (How::Remove, _) => "from",
        (_, Control::Button(_)) => "for",
        _ => "of",
    };
    format!("{label}{part} {link} {}", named(state.program(), ids))
}
