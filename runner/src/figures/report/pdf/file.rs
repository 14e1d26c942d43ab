//! The file: sheets, faces and the tree of what stands for what. No date and no id, so that the same report
//! is the same bytes.

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::writers::StructTreeRoot;
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::NoPdf;
use super::font::Font;
use super::page::{Paper, SHEET};

/// Effort of the compression: this one always gives the same bytes, and more gains nothing.
const EFFORT: u8 = 9;

const UNICODE: SystemInfo<'static> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"UCS"),
    supplement: 0,
};
const GLYPHS: SystemInfo<'static> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"Identity"),
    supplement: 0,
};

/// The file's bytes.
///
/// # Errors
/// Letters that no face has, or a face that cannot be read.
pub(super) fn written(paper: Paper, title: &str) -> Result<Vec<u8>, NoPdf> {
    let Paper {
        fonts,
        tags,
        sheets,
        ..
    } = paper;
    if !fonts.unknown.is_empty() {
        return Err(NoPdf::Letters(fonts.unknown));
    }
    let mut pdf = Pdf::new();
    let mut next = Ref::new(1);
    let catalog = next.bump();
    let tree = next.bump();
    let root = next.bump();
    let regular = face(&mut pdf, &mut next, &fonts.regular, "RRRRRR")?;
    let bold = face(&mut pdf, &mut next, &fonts.bold, "BBBBBB")?;
    let pages: Vec<Ref> = sheets.iter().map(|_| next.bump()).collect();
    for (key, (name, sheet)) in (0..).zip(pages.iter().zip(sheets)) {
        let content = next.bump();
        stream(&mut pdf, content, &sheet.finish());
        let mut page = pdf.page(*name);
        page.parent(root)
            .media_box(Rect::new(0.0, 0.0, SHEET.0 as f32, SHEET.1 as f32))
            .contents(content)
            .struct_parents(key);
        let mut resources = page.resources();
        let mut faces = resources.fonts();
        faces.pair(Name(b"R"), regular).pair(Name(b"B"), bold);
    }
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(root).kids(pages.iter().copied()).count(count);

    let (document, pieces) = tags.written(&mut pdf, &mut next, tree, &pages);
    let mut by_page = Vec::new();
    for of_page in pieces {
        let names = next.bump();
        pdf.indirect(names).array().items(of_page);
        by_page.push(names);
    }
    let mut root_of_tree: StructTreeRoot<'_> = pdf.indirect(tree).start();
    root_of_tree.child(document).parent_tree_next_key(count);
    let mut by_key = root_of_tree.parent_tree();
    let mut keys = by_key.nums();
    for (key, names) in (0..).zip(by_page) {
        keys.insert(key, names);
    }
    keys.finish();
    by_key.finish();
    root_of_tree.finish();
    let mut whole = pdf.catalog(catalog);
    whole.pages(root).lang(TextStr("en"));
    whole.viewer_preferences().display_doc_title(true);
    whole.mark_info().marked(true);
    whole.pair(Name(b"StructTreeRoot"), tree);
    whole.finish();
    pdf.document_info(next.bump()).title(TextStr(title));
    Ok(pdf.finish())
}

/// Writes a face with the glyphs used.
fn face(pdf: &mut Pdf, next: &mut Ref, font: &Font, mark: &str) -> Result<Ref, NoPdf> {
    let [whole, glyphs, about, file, letters] = std::array::from_fn(|_| next.bump());
    let name = format!("{mark}+{}", font.name);
    let name = Name(name.as_bytes());
    pdf.type0_font(whole)
        .base_font(name)
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(glyphs)
        .to_unicode(letters);
    let mut cid = pdf.cid_font(glyphs);
    cid.subtype(CidFontType::Type2)
        .base_font(name)
        .system_info(GLYPHS)
        .font_descriptor(about)
        .default_width(0.0)
        .cid_to_gid_map_predefined(Name(b"Identity"));
    let mut widths = cid.widths();
    for (glyph, (_, width)) in &font.used {
        widths.same(*glyph, *glyph, *width as f32);
    }
    widths.finish();
    cid.finish();
    let per_mille = |units: i16| font.per_mille(f64::from(units)) as f32;
    let frame = font.face.global_bounding_box();
    pdf.font_descriptor(about)
        .name(name)
        .flags(FontFlags::NON_SYMBOLIC)
        .bbox(Rect::new(
            per_mille(frame.x_min),
            per_mille(frame.y_min),
            per_mille(frame.x_max),
            per_mille(frame.y_max),
        ))
        .italic_angle(0.0)
        .ascent(per_mille(font.face.ascender()))
        .descent(per_mille(font.face.descender()))
        .cap_height(per_mille(font.face.capital_height().unwrap_or_default()))
        // The faces do not say; readers use it only where they have no file.
        .stem_v(80.0)
        .font_file2(file);
    let subset = font.subset()?;
    let packed = compress_to_vec_zlib(&subset, EFFORT);
    pdf.stream(file, &packed).filter(Filter::FlateDecode).pair(
        Name(b"Length1"),
        i32::try_from(subset.len()).unwrap_or_default(),
    );
    let mut map = UnicodeCmap::new(Name(b"letters"), UNICODE);
    for (glyph, (letter, _)) in &font.used {
        map.pair(*glyph, *letter);
    }
    stream(pdf, letters, &map.finish());
    Ok(whole)
}

fn stream(pdf: &mut Pdf, name: Ref, bytes: &[u8]) {
    let packed = compress_to_vec_zlib(bytes, EFFORT);
    pdf.stream(name, &packed).filter(Filter::FlateDecode);
}
