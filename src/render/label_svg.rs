//! A label as a drawing, true to the millimetre: its text is text, and each line is as wide as it was measured, whatever
//! type the reader has.

use super::line;
use super::markup::in_markup;
use crate::label::PlacedLine;

/// The blank edge of a sheet that printers do not reach, in micrometres.
const EDGE: i64 = 8_000;

/// A sheet of labels: how large it is, and how many of them it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelTiling {
    /// How wide the sheet is, in micrometres.
    pub width: i64,
    /// How high it is.
    pub height: i64,
    /// How many labels are printed; as many as it holds where none is asked for.
    pub copies: Option<usize>,
}

impl LabelTiling {
    /// A4, 210 x 297 mm (ISO 216).
    pub const A4: LabelTiling = LabelTiling { width: 210_000, height: 297_000, copies: None };

    /// Letter, 8.5 x 11 inches (ANSI/ASME Y14.1).
    pub const LETTER: LabelTiling = LabelTiling { width: 215_900, height: 279_400, copies: None };

    /// How many labels of a size lie side by side, and how many one below the other.
    #[must_use]
    pub fn holds(&self, width: i64, height: i64) -> (usize, usize) {
        let along = |sheet: i64, label: i64| usize::try_from((sheet - 2 * EDGE).max(0) / label.max(1)).unwrap_or(0);
        (along(self.width, width), along(self.height, height))
    }
}

/// What is drawn of a label.
pub struct LabelDrawing<'d> {
    /// How wide it is, in micrometres.
    pub width: i64,
    /// How high it is.
    pub height: i64,
    /// Its lines.
    pub lines: &'d [PlacedLine],
    /// What stands across it.
    pub across: Option<&'d str>,
    /// What it is a label of.
    pub title: &'d str,
}

impl LabelDrawing<'_> {
    /// One label by itself.
    #[must_use]
    pub fn svg(&self) -> String {
        let mut out = head(self.width, self.height, self.title);
        self.draw(&mut out);
        line(&mut out, format_args!("</svg>"));
        out
    }

    /// Labels side by side on a sheet of paper. None where it does not hold so many.
    #[must_use]
    pub fn tiled(&self, on: &LabelTiling) -> Option<String> {
        let (across, down) = on.holds(self.width, self.height);
        let copies = on.copies.unwrap_or(across * down);
        if copies == 0 || copies > across * down {
            return None;
        }
        let mut out = head(on.width, on.height, self.title);
        line(&mut out, format_args!("<defs>\n<g id=\"label\">"));
        self.draw(&mut out);
        line(&mut out, format_args!("</g>\n</defs>"));
        for at in 0..copies {
            let step = |at: usize, size: i64| EDGE + i64::try_from(at).unwrap_or(0) * size;
            let (x, y) = (step(at % across, self.width), step(at / across, self.height));
            line(&mut out, format_args!("<use href=\"#label\" x=\"{}\" y=\"{}\"/>", mm(x), mm(y)));
        }
        line(&mut out, format_args!("</svg>"));
        Some(out)
    }

    fn draw(&self, out: &mut String) {
        line(
            out,
            format_args!(
                "<rect x=\"0\" y=\"0\" width=\"{}\" height=\"{}\" fill=\"#fff\" stroke=\"#999\" stroke-width=\"0.1\"/>",
                mm(self.width),
                mm(self.height)
            ),
        );
        for placed in self.lines {
            let bold = if placed.bold { " font-weight=\"bold\"" } else { "" };
            line(
                out,
                format_args!(
                    "<text x=\"{}\" y=\"{}\" font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"{bold}>{}</text>",
                    mm(placed.x),
                    mm(placed.y),
                    mm(placed.size),
                    mm(placed.width),
                    in_markup(&placed.text)
                ),
            );
        }
        if let Some(words) = self.across {
            self.draw_across(out, words);
        }
    }

    /// Words that nobody overlooks, from side to side.
    fn draw_across(&self, out: &mut String, words: &str) {
        let width = self.width * 9 / 10;
        let letters = i64::try_from(words.chars().count()).unwrap_or(1).max(1);
        let size = (width * 14 / 10 / letters).min(self.height / 2);
        line(
            out,
            format_args!(
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"middle\" textLength=\"{}\" \
                 lengthAdjust=\"spacingAndGlyphs\" font-weight=\"bold\" fill=\"#b00020\" fill-opacity=\"0.6\">{}</text>",
                mm(self.width / 2),
                mm(self.height / 2 + size * 35 / 100),
                mm(size),
                mm(width),
                in_markup(words)
            ),
        );
    }
}

fn head(width: i64, height: i64, title: &str) -> String {
    let (width, height) = (mm(width), mm(height));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" \
         font-family=\"Arial, Helvetica, 'Liberation Sans', sans-serif\" fill=\"#000\">\n<title>{}</title>\n",
        in_markup(title)
    )
}

/// A length in mm: micrometres to the last one.
fn mm(micrometres: i64) -> String {
    let (whole, rest) = (micrometres / 1_000, (micrometres % 1_000).abs());
    let text = format!("{whole}.{rest:03}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(lines: &[PlacedLine]) -> LabelDrawing<'_> {
        LabelDrawing { width: 60_000, height: 40_000, lines, across: None, title: "Balm <&>" }
    }

    #[test]
    fn a_label_is_true_to_the_millimetre_and_its_text_is_text() {
        let lines = [PlacedLine { x: 1_500, y: 4_250, size: 3_075, width: 20_001, bold: true, text: "A & <B>".to_string() }];
        let svg = drawing(&lines).svg();
        assert!(svg.contains("width=\"60mm\" height=\"40mm\" viewBox=\"0 0 60 40\""), "{svg}");
        assert!(svg.contains("y=\"4.25\" font-size=\"3.075\" textLength=\"20.001\""), "{svg}");
        assert!(svg.contains(">A &amp; &lt;B&gt;</text>") && svg.contains("<title>Balm &lt;&amp;&gt;</title>"), "{svg}");
    }

    #[test]
    fn a_sheet_holds_so_many_and_no_more() {
        // 210 - 16 mm is three times 60, and 297 - 16 mm is seven times 40.
        assert_eq!(LabelTiling::A4.holds(60_000, 40_000), (3, 7));
        let tiled = |copies| drawing(&[]).tiled(&LabelTiling { copies, ..LabelTiling::A4 });
        assert_eq!(tiled(Some(12)).unwrap().matches("<use ").count(), 12);
        assert_eq!(tiled(None).unwrap().matches("<use ").count(), 21);
        assert_eq!((tiled(Some(22)), tiled(Some(0))), (None, None));
    }
}
