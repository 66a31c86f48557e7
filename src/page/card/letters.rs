//! The letters of a card: three font files that are in the program, and how wide a text is in them.

use resvg::usvg::fontdb::Database;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, GlyphId, MetadataProvider as _, charmap::Charmap};
use unicode_width::UnicodeWidthChar as _;

/// Noto Sans and Noto Serif, cut down to Latin, Greek and Cyrillic; their licence stands beside them.
const FILES: [&[u8]; 3] = [
    include_bytes!("fonts/NotoSans-Regular.ttf"),
    include_bytes!("fonts/NotoSans-Bold.ttf"),
    include_bytes!("fonts/NotoSerif-Bold.ttf"),
];

/// Units of a font's square, where a file does not say.
const SQUARE: f64 = 1000.0;

/// In which letters a text is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    /// Running text.
    Plain,
    /// What is to stand out.
    Bold,
    /// The title.
    Title,
}

impl Face {
    /// How SVG names it: what a reader's machine may have in its place comes after.
    pub fn in_svg(self) -> &'static str {
        match self {
            Face::Plain => "font-family=\"'Noto Sans', 'DejaVu Sans', Verdana, sans-serif\"",
            Face::Bold => "font-family=\"'Noto Sans', 'DejaVu Sans', Verdana, sans-serif\" font-weight=\"bold\"",
            Face::Title => "font-family=\"'Noto Serif', 'DejaVu Serif', Georgia, serif\" font-weight=\"bold\"",
        }
    }
}

/// The fonts, read once for a card.
pub(super) struct Letters {
    faces: Vec<Measured>,
}

struct Measured {
    glyphs: Charmap<'static>,
    widths: GlyphMetrics<'static>,
    square: f64,
}

impl Letters {
    /// Reads the files. They are part of the program, and a test holds that each can be read.
    pub fn new() -> Letters {
        let read = |bytes: &&'static [u8]| {
            let font = FontRef::new(bytes).ok()?;
            let widths = font.glyph_metrics(Size::unscaled(), LocationRef::default());
            let square = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em);
            Some(Measured { glyphs: font.charmap(), widths, square: if square > 0.0 { square } else { SQUARE } })
        };
        Letters { faces: FILES.iter().filter_map(read).collect() }
    }

    /// The fonts for the renderer: these and no other, so that every machine makes the same picture.
    pub fn database() -> Database {
        let mut fonts = Database::new();
        for file in FILES {
            fonts.load_font_data(file.to_vec());
        }
        fonts.set_sans_serif_family("Noto Sans");
        fonts.set_serif_family("Noto Serif");
        fonts
    }

    /// How wide a text is.
    pub fn width(&self, text: &str, face: Face, size: f64) -> f64 {
        text.chars().map(|letter| self.of(letter, face)).sum::<f64>() * size
    }

    /// How wide a letter is, in parts of its size. What the font has not is drawn as a box, and is as wide as that.
    pub fn of(&self, letter: char, face: Face) -> f64 {
        let Some(measured) = self.faces.get(face as usize) else { return 1.0 };
        let glyph = match measured.glyphs.map(letter) {
            Some(glyph) => glyph,
            None if letter.width() == Some(0) => return 0.0,
            None => GlyphId::NOTDEF,
        };
        f64::from(measured.widths.advance_width(glyph).unwrap_or(0.0)) / measured.square
    }
}

#[cfg(test)]
mod tests {
    use super::{FILES, Face, Letters};

    #[test]
    fn every_font_is_read_and_they_stay_small() {
        assert_eq!(Letters::new().faces.len(), FILES.len());
        assert_eq!(Letters::database().len(), FILES.len());
        assert!(FILES.iter().map(|file| file.len()).sum::<usize>() < 250_000);
    }

    /// The advances stand in the files' `hmtx` table; read with fontTools 4: `A` 639 and 690, `i` 258 of 1000.
    #[test]
    fn widths_are_those_of_the_font() {
        let letters = Letters::new();
        assert!((letters.width("A", Face::Plain, 1000.0) - 639.0).abs() < 0.001);
        assert!((letters.width("A", Face::Bold, 1000.0) - 690.0).abs() < 0.001);
        assert!((letters.width("iA", Face::Plain, 100.0) - 89.7).abs() < 0.001);
    }
}
