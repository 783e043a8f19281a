//! A picture's PNG taken apart. Its compressed rows go into a PDF as they are: both use the same filters and the same
//! compression (ISO 32000-1, 7.4.4.4; ISO/IEC 15948).

use std::borrow::Cow;

/// A PNG of eight bits of red, green and blue, not interlaced.
pub(super) struct Png<'a> {
    pub(super) width: u32,
    pub(super) height: u32,
    /// Its rows with their filters, compressed.
    pub(super) rows: Cow<'a, [u8]>,
}

/// The mark at the start of a PNG.
const MARK: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Bit depth, colour type, compression, filters, interlacing of the header.
const KIND: [u8; 5] = [8, 2, 0, 0, 0];

impl<'a> Png<'a> {
    /// Takes one apart; none where it is of another kind.
    pub(super) fn read(bytes: &'a [u8]) -> Option<Self> {
        let mut rest = bytes.strip_prefix(MARK)?;
        let mut size = None;
        let mut rows: Cow<'a, [u8]> = Cow::Borrowed(&[]);
        while let Some((length, after)) = rest.split_first_chunk::<4>() {
            let (kind, after) = after.split_first_chunk::<4>()?;
            let (data, after) = after.split_at_checked(u32::from_be_bytes(*length) as usize)?;
            match kind {
                b"IHDR" => size = Some(header(data)?),
                b"IDAT" if rows.is_empty() => rows = Cow::Borrowed(data),
                b"IDAT" => rows.to_mut().extend(data),
                b"IEND" => break,
                _ => {}
            }
            // A checksum follows.
            rest = after.get(4..)?;
        }
        let (width, height) = size?;
        (!rows.is_empty()).then_some(Self { width, height, rows })
    }
}

fn header(data: &[u8]) -> Option<(u32, u32)> {
    let (width, data) = data.split_first_chunk::<4>()?;
    let (height, kind) = data.split_first_chunk::<4>()?;
    (kind == KIND).then_some((u32::from_be_bytes(*width), u32::from_be_bytes(*height)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(colour: png::ColorType, bytes: usize) -> Vec<u8> {
        let mut out = Vec::new();
        let mut encoder = png::Encoder::new(&mut out, 3, 2);
        encoder.set_color(colour);
        encoder.write_header().expect("a header").write_image_data(&vec![7; bytes]).expect("rows");
        out
    }

    #[test]
    fn only_whole_colour_pictures_are_taken() {
        let colour = written(png::ColorType::Rgb, 18);
        let taken = Png::read(&colour).expect("three bytes a pixel");
        assert_eq!((taken.width, taken.height), (3, 2), "its size");
        let rows = miniz_oxide::inflate::decompress_to_vec_zlib(&taken.rows).expect("compressed rows");
        assert_eq!(rows.len(), 2 * (1 + 9), "each row has its filter and nine bytes");
        assert!(Png::read(&written(png::ColorType::Grayscale, 6)).is_none(), "grey");
        assert!(Png::read(&colour[..colour.len() / 2]).is_none(), "cut off");
        assert!(Png::read(b"no picture").is_none(), "something else");
    }
}
