//! Which states, heads and patterns a rule of the profile is narrowed to: as lists to add to and remove from.
//!
//! Invariant: pure; every change is an edit of the profile, and what was named last, taken away, makes the rule look everywhere again.
//! Absent: whether the rule runs, its parameters and its severity.

use lampwright_model::{
    Alternative, Condition, Edit, GroupId, HeadId, Parts, PatternId, Problem, Profile, Program,
    RuleChoice, RuleCode, SignalId, Target, ValueId,
};

/// One list of a scope.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ScopePart {
    /// Signals and their values that must hold together, by index among the alternatives; one past the last adds an alternative.
    When(usize),
    /// Heads and groups it looks at.
    Heads,
    /// Patterns it looks at.
    OnlyPatterns,
    /// Patterns it does not look at.
    ExceptPatterns,
}

/// One list of a scope in words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ScopeList {
    /// Which.
    pub part: ScopePart,
    /// What it says: "Heads".
    pub title: &'static str,
    /// What it means while nothing is named: "all heads".
    pub while_empty: &'static str,
    /// What it names.
    pub named: Vec<ScopeItem>,
    /// What it could name besides.
    pub free: Vec<ScopeItem>,
}

/// One thing a scope can name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ScopeItem {
    /// How it is named: `head:ID`, `group:ID`, a pattern's identifier, `SIGNAL=VALUE`.
    pub value: String,
    /// In words.
    pub label: String,
}

impl ScopeItem {
    fn new(value: String, label: &str) -> Self {
        let label = if label.is_empty() {
            value.clone()
        } else {
            label.to_owned()
        };
        Self { value, label }
    }
}

/// The lists of a rule's scope: states first, then heads, then patterns.
#[must_use]
pub fn scope_lists(program: &Program, choice: &RuleChoice) -> Vec<ScopeList> {
    let list = |part, title, while_empty, all: Vec<ScopeItem>| {
        let (named, free) = all
            .into_iter()
            .partition(|item: &ScopeItem| names(choice, part, &item.value));
        ScopeList {
            part,
            title,
            while_empty,
            named,
            free,
        }
    };
    let mut lists = Vec::new();
    let n_alternatives = choice.when.as_ref().map_or(0, |when| when.0.len());
    for index in 0..=n_alternatives {
        let title = if index == 0 { "States with" } else { "or with" };
        let while_empty = match (index, n_alternatives) {
            (0, 0) => "all states",
            (_, n) if index == n => "nothing else",
            _ => "any values",
        };
        let settings = program.signals.iter().flat_map(|signal| {
            signal.values.iter().map(|value| {
                let label = format!("{}: {value}", signal.label);
                ScopeItem::new(format!("{}={value}", signal.id), &label)
            })
        });
        lists.push(list(
            ScopePart::When(index),
            title,
            while_empty,
            settings.collect(),
        ));
    }
    let groups = program
        .vehicle
        .groups
        .iter()
        .map(|group| ScopeItem::new(format!("group:{}", group.id), &group.label));
    let heads = program
        .vehicle
        .heads
        .iter()
        .map(|head| ScopeItem::new(format!("head:{}", head.id), &head.label));
    let targets = groups.chain(heads).collect();
    lists.push(list(ScopePart::Heads, "Heads", "all heads", targets));
    let patterns: Vec<ScopeItem> = program
        .patterns
        .iter()
        .map(|pattern| ScopeItem::new(pattern.id.to_string(), &pattern.label))
        .collect();
    for (part, title, while_empty) in [
        (ScopePart::OnlyPatterns, "Only patterns", "all patterns"),
        (ScopePart::ExceptPatterns, "Not patterns", "none left out"),
    ] {
        lists.push(list(part, title, while_empty, patterns.clone()));
    }
    lists
}

fn names(choice: &RuleChoice, part: ScopePart, value: &str) -> bool {
    match part {
        ScopePart::When(index) => {
            let when = choice.when.as_ref();
            let alternative = when.and_then(|when| when.0.get(index));
            let (Some(alternative), Some((signal, value))) = (alternative, value.split_once('='))
            else {
                return false;
            };
            alternative.0.iter().any(|(known, values)| {
                known.as_str() == signal && values.iter().any(|known| known.as_str() == value)
            })
        }
        ScopePart::Heads => choice
            .heads
            .iter()
            .any(|target| Some(target) == target_of(value).as_ref()),
        ScopePart::OnlyPatterns => choice.only_patterns.iter().any(|id| id.as_str() == value),
        ScopePart::ExceptPatterns => choice.except_patterns.iter().any(|id| id.as_str() == value),
    }
}

fn target_of(value: &str) -> Option<Target> {
    let (kind, id) = value.split_once(':')?;
    if kind == "group" {
        GroupId::new(id).ok().map(Target::Group)
    } else {
        HeadId::new(id).ok().map(Target::Head)
    }
}

/// Names what a list does not name, and takes away what it names, as the label and the edit of one step.
///
/// # Errors
/// In plain words when the profile does not choose the rule, or there is no such thing.
pub fn scope_toggled(
    program: &Program,
    code: RuleCode,
    part: ScopePart,
    value: &str,
) -> Result<(String, Edit), String> {
    let mut profile = program.profile.clone();
    let choice = profile
        .rules
        .iter_mut()
        .find(|choice| choice.code == code)
        .ok_or_else(|| format!("{code} is not in the profile"))?;
    let lists = scope_lists(program, choice);
    let known = lists
        .iter()
        .filter(|list| list.part == part)
        .flat_map(|list| list.named.iter().chain(&list.free))
        .find(|item| item.value == value)
        .ok_or_else(|| format!("there is no {value} to look at"))?;
    let verb = if names(choice, part, value) {
        "Take from"
    } else {
        "Add to"
    };
    let label = format!("{verb} what {code} looks at: {}", known.label);
    match part {
        ScopePart::When(index) => toggle_setting(&mut choice.when, index, value),
        ScopePart::Heads => {
            if let Some(target) = target_of(value) {
                toggle(&mut choice.heads, target);
            }
        }
        ScopePart::OnlyPatterns | ScopePart::ExceptPatterns => {
            let patterns = if part == ScopePart::OnlyPatterns {
                &mut choice.only_patterns
            } else {
                &mut choice.except_patterns
            };
            if let Ok(id) = PatternId::new(value) {
                toggle(patterns, id);
            }
        }
    }
    Ok((label, Edit::SetProfile(profile)))
}

fn toggle<T: PartialEq>(list: &mut Vec<T>, item: T) {
    match list.iter().position(|known| *known == item) {
        Some(index) => {
            list.remove(index);
        }
        None => list.push(item),
    }
}

/// Signals without values left go, then alternatives without signals, then the condition.
fn toggle_setting(when: &mut Option<Condition>, index: usize, setting: &str) {
    let Some((signal, value)) = setting.split_once('=') else {
        return;
    };
    let (Ok(signal), Ok(value)) = (SignalId::new(signal), ValueId::new(value)) else {
        return;
    };
    let mut alternatives = when.take().map_or_else(Vec::new, |when| when.0);
    if index >= alternatives.len() {
        alternatives.push(Alternative::default());
    }
    if let Some(alternative) = alternatives.get_mut(index) {
        match alternative.0.iter_mut().find(|(known, _)| *known == signal) {
            Some((_, values)) => toggle(values, value),
            None => alternative.0.push((signal, vec![value])),
        }
        alternative.0.retain(|(_, values)| !values.is_empty());
        if alternative.0.is_empty() {
            alternatives.remove(index);
        }
    }
    *when = (!alternatives.is_empty()).then_some(Condition(alternatives));
}

/// A profile of a file as the program can take it over, and what it names that the program does not have, which is left out.
#[must_use]
pub fn profile_for(program: &Program, profile: Profile) -> (Profile, Vec<Problem>) {
    let (with_it, problems) = Program::admit(Parts {
        profile,
        ..program.to_parts()
    });
    (with_it.to_parts().profile, problems)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_formats::read_program;

    const CODE: RuleCode = RuleCode(1);

    fn program() -> Program {
        let text = include_str!("../../../patterns/incident-support-van.json");
        let mut parts = read_program(text.as_bytes()).program.unwrap().to_parts();
        parts.profile.rules = vec![RuleChoice::of(CODE)];
        Program::admit(parts).0
    }

    fn toggled(program: &Program, part: ScopePart, value: &str) -> Program {
        let (_, edit) = scope_toggled(program, CODE, part, value).unwrap();
        program.apply(&edit).unwrap()
    }

    fn list(program: &Program, part: ScopePart) -> ScopeList {
        let lists = scope_lists(program, &program.profile.rules[0]);
        lists.into_iter().find(|list| list.part == part).unwrap()
    }

    /// A value of the first list of a kind that is free.
    fn free(program: &Program, part: ScopePart, index: usize) -> String {
        list(program, part).free[index].value.clone()
    }

    #[test]
    fn what_is_added_is_named_and_taken_away_again() {
        let before = program();
        for part in [
            ScopePart::When(0),
            ScopePart::Heads,
            ScopePart::OnlyPatterns,
            ScopePart::ExceptPatterns,
        ] {
            let value = free(&before, part, 1);
            let after = toggled(&before, part, &value);
            let named = list(&after, part).named;
            assert_eq!(named.len(), 1);
            assert_eq!(named[0].value, value);
            assert_ne!(after.profile, before.profile);
            assert_eq!(toggled(&after, part, &value), before);
        }
    }

    #[test]
    fn values_of_one_signal_are_choices_and_alternatives_are_apart() {
        let mut program = program();
        let signal = program.signals[0].clone();
        for (part, value) in [(0, 0), (0, 1), (1, 0)] {
            let setting = format!("{}={}", signal.id, signal.values[value]);
            program = toggled(&program, ScopePart::When(part), &setting);
        }
        let when = program.profile.rules[0].when.clone().unwrap();
        assert_eq!(when.0.len(), 2);
        assert_eq!(when.0[0].0[0].1.len(), 2);
        assert_eq!(list(&program, ScopePart::When(2)).named, []);
        let setting = format!("{}={}", signal.id, signal.values[0]);
        program = toggled(&program, ScopePart::When(1), &setting);
        assert_eq!(program.profile.rules[0].when.as_ref().unwrap().0.len(), 1);
    }

    #[test]
    fn what_is_not_there_is_refused() {
        let program = program();
        assert!(scope_toggled(&program, CODE, ScopePart::Heads, "head:none").is_err());
        assert!(scope_toggled(&program, CODE, ScopePart::When(3), "a=b").is_err());
        let value = free(&program, ScopePart::Heads, 0);
        assert!(scope_toggled(&program, RuleCode(2), ScopePart::Heads, &value).is_err());
    }

    #[test]
    fn a_profile_that_names_what_the_program_lacks_is_cut_and_says_so() {
        let program = program();
        let mut choice = RuleChoice::of(CODE);
        choice.heads = vec![
            Target::Head(HeadId::new("nowhere").unwrap()),
            Target::Head(program.vehicle.heads[0].id.clone()),
        ];
        let profile = Profile {
            rules: vec![choice],
            ..Profile::default()
        };
        let (taken, problems) = profile_for(&program, profile);
        assert_eq!(taken.rules[0].heads.len(), 1);
        assert_eq!(problems.len(), 1);
    }
}
