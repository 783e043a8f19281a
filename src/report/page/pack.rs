//! Arrays of numbers as text of a page: little-endian, compressed as zlib streams do, in base64.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use miniz_oxide::deflate::compress_to_vec_zlib;

/// Level of compression: higher ones make the page a few hundredths smaller, but `watch` waits for them.
const LEVEL: u8 = 1;

/// An array that grows, as bytes.
#[derive(Default)]
pub(super) struct Packed(Vec<u8>);

impl Packed {
    /// Adds 16-bit numbers without sign.
    pub(super) fn words(&mut self, numbers: impl IntoIterator<Item = u16>) {
        self.0.extend(numbers.into_iter().flat_map(u16::to_le_bytes));
    }

    /// Adds 16-bit numbers with sign.
    pub(super) fn signed(&mut self, numbers: impl IntoIterator<Item = i16>) {
        self.0.extend(numbers.into_iter().flat_map(i16::to_le_bytes));
    }

    /// Adds 32-bit numbers without sign.
    pub(super) fn longs(&mut self, numbers: impl IntoIterator<Item = u32>) {
        self.0.extend(numbers.into_iter().flat_map(u32::to_le_bytes));
    }

    /// Adds bytes.
    pub(super) fn bytes(&mut self, numbers: impl IntoIterator<Item = u8>) {
        self.0.extend(numbers);
    }

    /// All of it as text.
    pub(super) fn text(&self) -> String {
        STANDARD.encode(compress_to_vec_zlib(&self.0, LEVEL))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read back by the library's other half: the order of bytes is that of the page's reader, `DataView` with little ends.
    #[test]
    fn numbers_come_back() {
        let mut packed = Packed::default();
        packed.words([1, 0xfffe]);
        packed.signed([-2]);
        packed.longs([70_000]);
        packed.bytes([7]);
        let bytes = STANDARD.decode(packed.text()).expect("base64");
        let bytes = miniz_oxide::inflate::decompress_to_vec_zlib(&bytes).expect("a zlib stream");
        assert_eq!(bytes, [1, 0, 0xfe, 0xff, 0xfe, 0xff, 0x70, 0x11, 1, 0, 7]);
    }
}
