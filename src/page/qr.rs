//! QR codes (ISO/IEC 18004), drawn as one path.

use std::fmt::Write;

use qrcode::{Color, EcLevel, QrCode};

use super::highlight::escaped;

/// Light modules that the standard asks for on every side.
const QUIET_ZONE: usize = 4;

/// The drawing of a code that reads `text`, named by `label`; empty if the text is too long for any code (beyond
/// some 2,300 bytes). It has no style of its own, and is dark on light whatever the colours of the page.
pub(super) fn qr_svg(text: &str, label: &str) -> String {
    // A sheet of paper gets folded and stained: level M mends up to 15 % of the code.
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::M) else { return String::new() };
    let size = code.width() + 2 * QUIET_ZONE;
    format!(
        "<svg role=\"img\" aria-label=\"{}\" viewBox=\"0 0 {size} {size}\" shape-rendering=\"crispEdges\">\
         <path fill=\"#fff\" d=\"M0 0h{size}v{size}H0z\"/><path fill=\"#000\" d=\"{}\"/></svg>",
        escaped(label),
        dark_runs(&code.to_colors(), code.width())
    )
}

/// A rectangle for each run of dark modules in a row.
fn dark_runs(modules: &[Color], width: usize) -> String {
    let mut path = String::new();
    for (y, row) in modules.chunks(width).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run.first() == Some(&Color::Dark) {
                let length = run.len();
                _ = write!(path, "M{} {}h{length}v1h-{length}z", x + QUIET_ZONE, y + QUIET_ZONE);
            }
            x += run.len();
        }
    }
    path
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

    use super::*;

    /// The drawing as grey pixels, `SCALE` a module, with its size.
    fn drawn(svg: &str) -> (usize, Vec<u8>) {
        const SCALE: usize = 4;
        let size: usize = svg.split("viewBox=\"0 0 ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        let side = size * SCALE;
        let mut pixels = vec![255; side * side];
        let path = svg.split("fill=\"#000\" d=\"").nth(1).unwrap().split('"').next().unwrap();
        for run in path.split('M').skip(1) {
            let numbers: Vec<usize> =
                run.split([' ', 'h', 'v']).take(3).map(|number| number.parse().unwrap()).collect();
            let [x, y, length] = numbers.as_slice() else { panic!("{run}") };
            for row in y * SCALE..(y + 1) * SCALE {
                pixels[row * side + x * SCALE..row * side + (x + length) * SCALE].fill(0);
            }
        }
        (side, pixels)
    }

    #[test]
    fn an_independent_decoder_reads_what_was_drawn() {
        let long = format!("https://example.org/{}", "a-long-name/".repeat(100));
        for text in ["https://example.org/", "https://example.org/shop/handouts/exhaust-water.es.html", "ñ ü 水", &long]
        {
            let (side, pixels) = drawn(&qr_svg(text, "QR"));
            let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| pixels[y * side + x]);
            let grids = image.detect_grids();
            assert_eq!(grids.len(), 1, "{text}");
            assert_eq!(grids[0].decode().unwrap().1, text);
        }
    }

    #[test]
    fn a_text_that_no_code_holds_gives_none() {
        assert_eq!(qr_svg(&"x".repeat(3000), ""), "");
    }
}
