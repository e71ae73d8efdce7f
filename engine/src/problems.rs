//! Everything wrong with one thing, said at once.

use alloc::vec::Vec;
use core::fmt;
use core::ops::Deref;
use core::slice;

/// All problems found, at least one: an error whose text is every problem's
/// sentence, one after another.
///
/// It reads as a slice of problems, so a screen shows each beside the field it
/// is about, and `?` passes it on as any other error.
///
/// ```
/// use engine::Problems;
///
/// let wrong = Problems::none(vec!["No shirt.", "No team."]).unwrap_err();
/// assert_eq!(wrong.to_string(), "No shirt. No team.");
/// assert_eq!(wrong.len(), 2);
/// assert!(Problems::<&str>::none(vec![]).is_ok());
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problems<T>(Vec<T>);

impl<T> Problems<T> {
    /// Nothing, when there is no problem.
    ///
    /// # Errors
    /// The problems, when there is at least one.
    pub fn none(found: Vec<T>) -> Result<(), Self> {
        if found.is_empty() {
            Ok(())
        } else {
            Err(Self(found))
        }
    }

    /// The same problems, told otherwise.
    #[must_use]
    pub fn map<U>(self, tell: impl FnMut(T) -> U) -> Problems<U> {
        Problems(self.0.into_iter().map(tell).collect())
    }

    /// These problems, then the others.
    #[must_use]
    pub fn and(mut self, others: Self) -> Self {
        self.0.extend(others.0);
        self
    }

    /// The problems as a list.
    #[must_use]
    pub fn into_vec(self) -> Vec<T> {
        self.0
    }
}

impl<T> From<T> for Problems<T> {
    fn from(problem: T) -> Self {
        Self(alloc::vec![problem])
    }
}

impl<T: PartialEq, const N: usize> PartialEq<[T; N]> for Problems<T> {
    fn eq(&self, others: &[T; N]) -> bool {
        self.0 == others
    }
}

impl<T> Deref for Problems<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T> IntoIterator for Problems<T> {
    type Item = T;
    type IntoIter = alloc::vec::IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, T> IntoIterator for &'a Problems<T> {
    type Item = &'a T;
    type IntoIter = slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

impl<T: fmt::Display> fmt::Display for Problems<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str(" ")?;
            }
            problem.fmt(f)?;
        }
        Ok(())
    }
}

impl<T: fmt::Debug + fmt::Display> core::error::Error for Problems<T> {}
