//! Where an item of CBOR ends, and whether it is in the one encoding allowed.
//!
//! Well-formedness is RFC 8949, appendix C; the deterministic encoding its
//! section 4.2.1. Nothing is read into values, so both are one answer for every
//! kind of content, whatever it means.

use super::EnvelopeError;

/// Most levels of lists, maps and tags, the outermost item being the first: a
/// reader's own limit (RFC 8949, section 10).
pub(super) const DEPTH_LIMIT: u8 = 32;

/// The argument that stands for an open end (RFC 8949, section 3.2).
const OPEN: u8 = 31;
/// The head of what ends an item of unknown length.
const BREAK: u8 = 0xff;

/// What one item is, by its bytes alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Extent {
    /// Where it ends.
    pub end: usize,
    /// Whether all lengths and numbers are in their shortest form and definite,
    /// and the keys of every map ascend. Floating-point numbers are not looked
    /// at: no grammar here has any.
    pub deterministic: bool,
}

impl Extent {
    /// Finds the end of the item that starts `bytes`.
    ///
    /// # Errors
    /// When it is cut short or not well-formed, whichever comes first in the
    /// bytes.
    pub(super) fn of(bytes: &[u8]) -> Result<Self, EnvelopeError> {
        let mut walk = Walk {
            bytes,
            at: 0,
            deterministic: true,
        };
        walk.item(DEPTH_LIMIT)?;
        Ok(Self {
            end: walk.at,
            deterministic: walk.deterministic,
        })
    }

    /// The same of bytes that hold one item and nothing else; `None` for others.
    pub(super) fn of_whole(bytes: &[u8]) -> Option<Self> {
        Self::of(bytes).ok().filter(|item| item.end == bytes.len())
    }
}

struct Walk<'b> {
    bytes: &'b [u8],
    at: usize,
    deterministic: bool,
}

impl Walk<'_> {
    fn peek(&self) -> Result<u8, EnvelopeError> {
        let byte = self.bytes.get(self.at);
        byte.copied().ok_or(EnvelopeError::CutShort)
    }

    fn skip(&mut self, bytes: u64) -> Result<(), EnvelopeError> {
        let end = usize::try_from(bytes).ok();
        let end = end.and_then(|bytes| self.at.checked_add(bytes));
        let end = end.filter(|end| *end <= self.bytes.len());
        self.at = end.ok_or(EnvelopeError::CutShort)?;
        Ok(())
    }

    /// Major type and additional information of the next head.
    fn head(&mut self) -> Result<(u8, u8), EnvelopeError> {
        let first = self.peek()?;
        self.at += 1;
        Ok((first >> 5, first & 31))
    }

    /// The argument of a head; `None` for an open end.
    fn argument(&mut self, major: u8, info: u8) -> Result<Option<u64>, EnvelopeError> {
        let size = match info {
            0..24 => return Ok(Some(u64::from(info))),
            24..28 => 1_usize << (info - 24),
            OPEN if (2..=5).contains(&major) => {
                self.deterministic = false;
                return Ok(None);
            }
            _ => return Err(EnvelopeError::MalformedCose),
        };
        let from = self.at;
        self.skip(size as u64)?;
        let bytes = self.bytes.get(from..self.at).unwrap_or_default();
        let value = bytes.iter().fold(0, |v, b| v << 8 | u64::from(*b));
        let least = match size {
            1 => 24,
            _ => 1_u64 << (size * 4),
        };
        match major {
            7 if size == 1 && value < 32 => return Err(EnvelopeError::MalformedCose),
            7 => {}
            _ => self.deterministic &= value >= least,
        }
        Ok(Some(value))
    }

    /// Whether an item of unknown length ends here.
    fn ends(&mut self) -> Result<bool, EnvelopeError> {
        let ends = self.peek()? == BREAK;
        self.at += usize::from(ends);
        Ok(ends)
    }

    fn item(&mut self, depth: u8) -> Result<(), EnvelopeError> {
        let (major, info) = self.head()?;
        let depth = depth.checked_sub(1).ok_or(EnvelopeError::MalformedCose)?;
        match (major, self.argument(major, info)?) {
            (2 | 3, Some(bytes)) => self.skip(bytes)?,
            (2 | 3, None) => {
                while !self.ends()? {
                    let (piece, info) = self.head()?;
                    if piece != major || info == OPEN {
                        return Err(EnvelopeError::MalformedCose);
                    }
                    let bytes = self.argument(piece, info)?.unwrap_or_default();
                    self.skip(bytes)?;
                }
            }
            (4, Some(members)) => (0..members).try_for_each(|_| self.item(depth))?,
            (4, None) => {
                while !self.ends()? {
                    self.item(depth)?;
                }
            }
            (5, Some(pairs)) => {
                let mut last = None;
                (0..pairs).try_for_each(|_| self.pair(depth, &mut last))?;
            }
            (5, None) => {
                let mut last = None;
                while !self.ends()? {
                    self.pair(depth, &mut last)?;
                }
            }
            (6, _) => self.item(depth)?,
            _ => {}
        }
        Ok(())
    }

    /// A key of a map and its value; `last` is where the key before it stands.
    fn pair(
        &mut self,
        depth: u8,
        last: &mut Option<core::ops::Range<usize>>,
    ) -> Result<(), EnvelopeError> {
        let from = self.at;
        self.item(depth)?;
        let key = from..self.at;
        let bytes = |range| self.bytes.get(range);
        let ascends = last
            .take()
            .is_none_or(|last| bytes(last) < bytes(key.clone()));
        self.deterministic &= ascends;
        *last = Some(key);
        self.item(depth)
    }
}
