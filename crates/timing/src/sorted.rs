//! A set and a map as sorted lists: little code for each further type, and the same order everywhere.
//!
//! Invariant: elements and keys rise strictly.
//! Absent: fast insertion in the middle of long lists, which moves all that follows.

use std::ops::Deref;

/// Elements in rising order, each once; read as a slice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SortedSet<T>(Vec<T>);

impl<T> Default for SortedSet<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Ord> SortedSet<T> {
    /// Whether the element is in the set.
    #[must_use]
    pub fn contains(&self, item: &T) -> bool {
        self.0.binary_search(item).is_ok()
    }

    /// Adds an element; false when it was in the set.
    pub fn insert(&mut self, item: T) -> bool {
        match self.0.binary_search(&item) {
            Ok(_) => false,
            Err(at) => {
                self.0.insert(at, item);
                true
            }
        }
    }

    /// Takes an element out; false when it was not in the set.
    pub fn remove(&mut self, item: &T) -> bool {
        let found = self.0.binary_search(item);
        if let Ok(at) = found {
            self.0.remove(at);
        }
        found.is_ok()
    }

    /// Keeps the elements that `is_kept` wants.
    pub fn retain(&mut self, is_kept: impl FnMut(&T) -> bool) {
        self.0.retain(is_kept);
    }

    /// Takes all elements out.
    pub fn clear(&mut self) {
        self.0.clear();
    }
}

impl<T> Deref for SortedSet<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T: Ord> FromIterator<T> for SortedSet<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        let mut items: Vec<T> = items.into_iter().collect();
        crate::sort(&mut items);
        items.dedup();
        Self(items)
    }
}

impl<T: Ord, const N: usize> From<[T; N]> for SortedSet<T> {
    fn from(items: [T; N]) -> Self {
        items.into_iter().collect()
    }
}

impl<T> IntoIterator for SortedSet<T> {
    type Item = T;
    type IntoIter = std::vec::IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, T> IntoIterator for &'a SortedSet<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// Values by rising keys.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SortedMap<K, V>(Vec<(K, V)>);

impl<K, V> Default for SortedMap<K, V> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<K: Ord, V> SortedMap<K, V> {
    /// Whether there is nothing in the map.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many keys there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// The value of a key.
    #[must_use]
    pub fn get(&self, key: &K) -> Option<&V> {
        let at = self.place(key).ok()?;
        self.0.get(at).map(|(_, value)| value)
    }

    /// Gives a key its value, in place of the one it had.
    pub fn insert(&mut self, key: K, value: V) {
        match self.place(&key) {
            Err(at) => self.0.insert(at, (key, value)),
            Ok(at) => {
                if let Some((_, old)) = self.0.get_mut(at) {
                    *old = value;
                }
            }
        }
    }

    /// Changes the value of a key, which starts as the default.
    pub fn change(&mut self, key: K, change: impl FnOnce(&mut V))
    where
        V: Default,
    {
        let at = match self.place(&key) {
            Ok(at) => at,
            Err(at) => {
                self.0.insert(at, (key, V::default()));
                at
            }
        };
        if let Some((_, value)) = self.0.get_mut(at) {
            change(value);
        }
    }

    fn place(&self, key: &K) -> Result<usize, usize> {
        self.0.binary_search_by(|(known, _)| known.cmp(key))
    }
}

impl<K: Ord, V> FromIterator<(K, V)> for SortedMap<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(items: I) -> Self {
        let mut map = Self(Vec::new());
        for (key, value) in items {
            map.insert(key, value);
        }
        map
    }
}

impl<K: Ord, V, const N: usize> From<[(K, V); N]> for SortedMap<K, V> {
    fn from(items: [(K, V); N]) -> Self {
        items.into_iter().collect()
    }
}

impl<K, V> IntoIterator for SortedMap<K, V> {
    type Item = (K, V);
    type IntoIter = std::vec::IntoIter<(K, V)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};

    /// Numbers of a small linear congruential generator.
    fn numbers() -> impl Iterator<Item = u32> {
        let mut state: u32 = 11;
        std::iter::repeat_with(move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) % 40
        })
    }

    #[test]
    fn the_set_does_what_the_standard_library_does() {
        let (mut found, mut wanted) = (SortedSet::default(), BTreeSet::new());
        for (turn, number) in numbers().take(400).enumerate() {
            if turn % 3 == 2 {
                assert_eq!(found.remove(&number), wanted.remove(&number));
            } else {
                assert_eq!(found.insert(number), wanted.insert(number));
            }
            assert_eq!(found.contains(&7), wanted.contains(&7));
            assert!(found.iter().eq(wanted.iter()));
        }
        let collected: SortedSet<u32> = numbers().take(90).collect();
        let expected: BTreeSet<u32> = numbers().take(90).collect();
        assert!(collected.into_iter().eq(expected));
    }

    #[test]
    fn the_map_does_what_the_standard_library_does() {
        let (mut found, mut wanted) = (SortedMap::default(), BTreeMap::new());
        for (turn, number) in numbers().take(400).enumerate() {
            if turn % 2 == 0 {
                found.insert(number, turn);
                wanted.insert(number, turn);
            } else {
                found.change(number, |value| *value += 1);
                *wanted.entry(number).or_default() += 1;
            }
            assert_eq!(found.get(&number), wanted.get(&number));
        }
        assert_eq!(found.get(&40), None);
        assert!(found.into_iter().eq(wanted));
    }
}
