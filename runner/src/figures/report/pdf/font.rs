//! The two faces of a PDF: how wide words are, and which letters they have.
//!
//! A letter is one glyph, without kerning: Latin, Greek, Cyrillic, Armenian and Georgian need no more. What
//! is joined or written from the right is no letter here, though the files have glyphs for some.

use std::collections::{BTreeMap, BTreeSet};

use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId};

use super::NoPdf;

/// Which of the faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// One face, and what of it has been used.
pub(super) struct Font {
    data: &'static [u8],
    /// Its PostScript name.
    pub name: &'static str,
    pub face: Face<'static>,
    kept: GlyphRemapper,
    /// Letter and width of each glyph used, by the glyph's number in the PDF.
    pub used: BTreeMap<u16, (char, f64)>,
}

/// Both faces.
pub(super) struct Fonts {
    pub regular: Font,
    pub bold: Font,
    /// Letters that were asked for and that no face has.
    pub unknown: BTreeSet<char>,
}

impl Font {
    fn read(data: &'static [u8], name: &'static str) -> Result<Self, NoPdf> {
        Ok(Self {
            data,
            name,
            face: Face::parse(data, 0).map_err(|_| NoPdf::Font(name))?,
            kept: GlyphRemapper::new(),
            used: BTreeMap::new(),
        })
    }

    fn glyph(&self, letter: char) -> Option<GlyphId> {
        let glyph = is_set_alone(letter).then(|| self.face.glyph_index(letter));
        glyph.flatten().filter(|glyph| glyph.0 != 0)
    }

    /// Thousandths of the size of the letters.
    pub fn per_mille(&self, units: f64) -> f64 {
        1000.0 * units / f64::from(self.face.units_per_em())
    }

    fn advance(&self, glyph: GlyphId) -> f64 {
        self.per_mille(self.face.glyph_hor_advance(glyph).map_or(0.0, f64::from))
    }

    /// A file of the glyphs used, under their numbers in the PDF.
    pub fn subset(&self) -> Result<Vec<u8>, NoPdf> {
        subsetter::subset(self.data, 0, &self.kept).map_err(|_| NoPdf::Font(self.name))
    }
}

impl Fonts {
    pub fn read() -> Result<Self, NoPdf> {
        let regular = include_bytes!("../../../../fonts/DejaVuSansCondensed.ttf");
        let bold = include_bytes!("../../../../fonts/DejaVuSansCondensed-Bold.ttf");
        Ok(Self {
            regular: Font::read(regular, "DejaVuSansCondensed")?,
            bold: Font::read(bold, "DejaVuSansCondensed-Bold")?,
            unknown: BTreeSet::new(),
        })
    }

    fn of(&self, weight: Weight) -> &Font {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    /// How wide words are, in the unit of their size.
    pub fn width(&self, words: &str, weight: Weight, size: f64) -> f64 {
        let font = self.of(weight);
        let glyphs = words.chars().filter_map(|letter| font.glyph(letter));
        glyphs.map(|glyph| font.advance(glyph)).sum::<f64>() * size / 1000.0
    }

    /// Words as the PDF writes them: two bytes a glyph. Notes what was used, and what is missing.
    pub fn written(&mut self, words: &str, weight: Weight) -> Vec<u8> {
        let font = match weight {
            Weight::Regular => &mut self.regular,
            Weight::Bold => &mut self.bold,
        };
        let mut bytes = Vec::with_capacity(2 * words.len());
        for letter in words.chars() {
            let Some(glyph) = font.glyph(letter) else {
                self.unknown.insert(letter);
                continue;
            };
            let width = font.advance(glyph);
            let number = font.kept.remap(glyph.0);
            font.used.entry(number).or_insert((letter, width));
            bytes.extend(number.to_be_bytes());
        }
        bytes
    }
}

/// Letters that stand one after the other, each by itself: blocks of Unicode, from its charts.
fn is_set_alone(letter: char) -> bool {
    matches!(letter,
        // Latin without the hyphen that is not seen, its marks, Greek, Cyrillic, Armenian.
        ' '..='\u{ac}' | '\u{ae}'..='\u{58f}'
        // Georgian.
        | '\u{10a0}'..='\u{10ff}'
        // Further Latin and Greek.
        | '\u{1d00}'..='\u{1fff}'
        // Punctuation, without what joins or parts invisibly; currencies, arrows, signs.
        | '\u{2010}'..='\u{2027}' | '\u{202f}'..='\u{205e}' | '\u{2070}'..='\u{2bff}'
        // Further Latin and Cyrillic, and ligatures.
        | '\u{2c60}'..='\u{2c7f}' | '\u{a640}'..='\u{a69f}' | '\u{a720}'..='\u{a7ff}' | '\u{fb00}'..='\u{fb06}')
}
