//! The finished pixels.

/// Red, green, blue, 0 to 255.
pub(super) type Rgb = [u8; 3];

/// Colour of the paper.
pub(super) const PAPER: Rgb = [255, 255, 255];

/// A picture, rows from the top.
pub(super) struct Canvas {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) rgb: Vec<u8>,
}

impl Canvas {
    /// Blank paper.
    pub(super) fn new(width: u32, height: u32) -> Self {
        let pixels = width as usize * height as usize;
        Self { width, height, rgb: PAPER.repeat(pixels) }
    }

    /// Sets a pixel; those beside the paper are left out.
    pub(super) fn set(&mut self, x: i64, y: i64, colour: Rgb) {
        if (0..i64::from(self.width)).contains(&x) && (0..i64::from(self.height)).contains(&y) {
            let at = 3 * (y as usize * self.width as usize + x as usize);
            self.rgb[at..at + 3].copy_from_slice(&colour);
        }
    }

    /// Fills a rectangle.
    pub(super) fn rectangle(&mut self, corner: (i64, i64), size: (i64, i64), colour: Rgb) {
        for y in corner.1..corner.1 + size.1 {
            for x in corner.0..corner.0 + size.0 {
                self.set(x, y, colour);
            }
        }
    }
}
