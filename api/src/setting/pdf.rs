//! The pages of a sheet as PDF, with a font of its own: every reader and every printer shows the same.
use krilla::Document;
use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};
use std::sync::{Arc, LazyLock};
use usvg::fontdb::Database;

/// A4 in points.
const A4: (f32, f32) = (595.28, 841.89);

static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut fonts = Database::new();
    for font in [ttf_noto_sans::REGULAR, ttf_noto_sans::BOLD] {
        fonts.load_font_data(font.to_vec());
    }
    fonts.set_sans_serif_family("Noto Sans");
    Arc::new(fonts)
});

/// Why no PDF came of it: a fault of ours, never of what was asked.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    #[error("a page is no drawing: {0}")]
    Svg(#[from] usvg::Error),
    #[error("a page has no size")]
    Size,
    #[error("the document cannot be written: {0}")]
    Written(String),
}

/// Puts pages, each an SVG, into one document.
pub fn pdf(pages: &[String], title: &str, language: &str) -> Result<Vec<u8>, PdfError> {
    let options =
        usvg::Options { fontdb: Arc::clone(&FONTS), font_family: "Noto Sans".to_owned(), ..usvg::Options::default() };
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()).language(language.to_owned()));
    for page in pages {
        let tree = usvg::Tree::from_str(page, &options)?;
        let settings = PageSettings::from_wh(A4.0, A4.1).ok_or(PdfError::Size)?;
        let size = Size::from_wh(A4.0, A4.1).ok_or(PdfError::Size)?;
        let mut on = document.start_page_with(settings);
        let mut surface = on.surface();
        surface.draw_svg(&tree, size, SvgSettings { embed_text: true, ..SvgSettings::default() });
        surface.finish();
        on.finish();
    }
    document.finish().map_err(|e| PdfError::Written(format!("{e:?}")))
}
