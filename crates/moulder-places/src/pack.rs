//! The packed form: columns of small whole numbers, each as the difference from the one before,
//! and texts, all in one zlib stream behind a name and a version.

use miniz_oxide::deflate::compress_to_vec_zlib;
use miniz_oxide::inflate::decompress_to_vec_zlib_with_limit;

/// First bytes of a set.
const NAME: &[u8] = b"moulder places";
/// Version of the form; another cannot be read.
const VERSION: u8 = 1;
/// Hardest compression of the library.
const LEVEL: u8 = 10;
/// A set takes no more than this; bytes.
const LIMIT: usize = 64 << 20;

/// Why a packed set cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Unreadable {
    /// It does not begin as a set does.
    #[error("this is no packed set of places")]
    NoSet,
    /// A form that this version cannot read.
    #[error("form {0} of packed places cannot be read by this version")]
    OtherForm(u8),
    /// Cut short, or not what was packed.
    #[error("the packed set is damaged")]
    Damaged,
}

/// A set being packed.
#[derive(Default)]
pub(crate) struct Writer {
    body: Vec<u8>,
}

impl Writer {
    /// Differences between neighbours, low bytes first and then high ones.
    pub(crate) fn column(&mut self, values: impl IntoIterator<Item = i16>) {
        let mut before = 0_i16;
        let differences = values.into_iter().map(|value| {
            let difference = value.wrapping_sub(before);
            before = value;
            zigzag(difference).to_le_bytes()
        });
        let differences: Vec<[u8; 2]> = differences.collect();
        self.length(differences.len());
        for byte in 0..2 {
            self.body
                .extend(differences.iter().map(|difference| difference[byte]));
        }
    }

    /// Texts without line ends.
    pub(crate) fn texts<'a>(&mut self, texts: impl IntoIterator<Item = &'a str>) {
        let texts: Vec<&str> = texts.into_iter().collect();
        let joined = texts.join("\n");
        self.length(texts.len());
        self.length(joined.len());
        self.body.extend(joined.as_bytes());
    }

    fn length(&mut self, length: usize) {
        // Longer ones would not fit a set that can be read.
        let length = u32::try_from(length).unwrap_or(u32::MAX);
        self.body.extend(length.to_le_bytes());
    }

    pub(crate) fn packed(self) -> Vec<u8> {
        let mut bytes = NAME.to_vec();
        bytes.push(VERSION);
        bytes.extend(compress_to_vec_zlib(&self.body, LEVEL));
        bytes
    }
}

/// The body of a packed set; the stream carries a checksum.
pub(crate) fn body(bytes: &[u8]) -> Result<Vec<u8>, Unreadable> {
    let rest = bytes.strip_prefix(NAME).ok_or(Unreadable::NoSet)?;
    let (version, stream) = rest.split_first().ok_or(Unreadable::NoSet)?;
    if *version != VERSION {
        return Err(Unreadable::OtherForm(*version));
    }
    decompress_to_vec_zlib_with_limit(stream, LIMIT).map_err(|_| Unreadable::Damaged)
}

/// What is left to read of a body.
pub(crate) struct Reader<'a> {
    left: &'a [u8],
}

impl<'a> Reader<'a> {
    pub(crate) const fn new(body: &'a [u8]) -> Self {
        Self { left: body }
    }

    pub(crate) fn column(&mut self) -> Result<Vec<i16>, Unreadable> {
        let length = self.length()?;
        let (low, high) = (self.take(length)?, self.take(length)?);
        let mut before = 0_i16;
        let values = low.iter().zip(high).map(|(low, high)| {
            before = before.wrapping_add(unzigzag(u16::from_le_bytes([*low, *high])));
            before
        });
        Ok(values.collect())
    }

    /// A column of a known length.
    pub(crate) fn column_of(&mut self, length: usize) -> Result<Vec<i16>, Unreadable> {
        let column = self.column()?;
        if column.len() == length {
            Ok(column)
        } else {
            Err(Unreadable::Damaged)
        }
    }

    pub(crate) fn texts(&mut self) -> Result<Vec<String>, Unreadable> {
        let count = self.length()?;
        let length = self.length()?;
        let text = core::str::from_utf8(self.take(length)?).map_err(|_| Unreadable::Damaged)?;
        let texts: Vec<String> = if count == 0 {
            Vec::new()
        } else {
            text.split('\n').map(str::to_owned).collect()
        };
        if texts.len() == count {
            Ok(texts)
        } else {
            Err(Unreadable::Damaged)
        }
    }

    /// Whether all was read.
    pub(crate) const fn is_done(&self) -> bool {
        self.left.is_empty()
    }

    fn length(&mut self) -> Result<usize, Unreadable> {
        let bytes = self.take(4)?;
        let bytes = bytes.try_into().map_err(|_| Unreadable::Damaged)?;
        usize::try_from(u32::from_le_bytes(bytes)).map_err(|_| Unreadable::Damaged)
    }

    fn take(&mut self, length: usize) -> Result<&'a [u8], Unreadable> {
        let (taken, left) = self
            .left
            .split_at_checked(length)
            .ok_or(Unreadable::Damaged)?;
        self.left = left;
        Ok(taken)
    }
}

/// Small numbers of either sign as small numbers.
const fn zigzag(value: i16) -> u16 {
    ((value << 1) ^ (value >> 15)).cast_unsigned()
}

const fn unzigzag(value: u16) -> i16 {
    (value >> 1).cast_signed() ^ -((value & 1).cast_signed())
}

#[cfg(test)]
mod tests {
    use super::{NAME, Reader, Unreadable, VERSION, Writer, body, unzigzag, zigzag};

    #[test]
    fn what_is_packed_comes_back() {
        for value in i16::MIN..=i16::MAX {
            assert_eq!(unzigzag(zigzag(value)), value);
        }
        assert_eq!([0, -1, 1, -2].map(zigzag), [0, 1, 2, 3]);
        let column = [0, 3, -3, i16::MAX, i16::MIN, 7];
        let mut writer = Writer::default();
        writer.column(column);
        writer.texts(["Lyon", "", "Žilina"]);
        writer.texts([]);
        let body = body(&writer.packed()).unwrap();
        let mut reader = Reader::new(&body);
        assert_eq!(reader.column_of(6).unwrap(), column);
        assert!(!reader.is_done());
        assert_eq!(reader.texts().unwrap(), ["Lyon", "", "Žilina"]);
        assert!(reader.texts().unwrap().is_empty() && reader.is_done());
    }

    #[test]
    fn what_is_no_set_is_refused() {
        let mut writer = Writer::default();
        writer.column([1, 2, 3]);
        let packed = writer.packed();
        assert_eq!(body(b"moulder"), Err(Unreadable::NoSet));
        assert_eq!(body(NAME), Err(Unreadable::NoSet));
        let mut other = packed.clone();
        other[NAME.len()] = VERSION + 1;
        assert_eq!(body(&other), Err(Unreadable::OtherForm(VERSION + 1)));
        for cut in NAME.len() + 1..packed.len() {
            assert_eq!(body(&packed[..cut]), Err(Unreadable::Damaged));
        }
        let mut last = packed.clone();
        *last.last_mut().unwrap() ^= 1;
        assert_eq!(body(&last), Err(Unreadable::Damaged));
        assert_eq!(
            Reader::new(&[9, 0, 0, 0, 1]).column(),
            Err(Unreadable::Damaged)
        );
    }
}
