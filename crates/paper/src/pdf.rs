//! Pages as a PDF that can be kept: PDF/A-2a (ISO 19005-2) and PDF/UA-1 (ISO 14289-1).
//!
//! Points of 1/72 inch. Every font is in the file, words can be searched and spoken, pictures have
//! words beside them, headings make the list of contents. The writer holds the file against both
//! standards; what breaks them is [`PaperError::Rules`] and no file. The same document gives the
//! same bytes.

use krilla::Document as Pdf;
use krilla::SerializeSettings;
use krilla::color::rgb;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node, SpanTag, TableHeaderScope,
    Tag, TagGroup, TagKind, TagTree,
};
use krilla_svg::{SurfaceExt, SvgSettings};

use crate::document::{Document, Moment, Text};
use crate::error::PaperError;
use crate::lay::{Layer, MARGINS, ink_of, room};
use crate::letters::{Letters, Line};
use crate::pages::{Page, paginate};
use crate::strips::{Ink, Meaning, Part, Tree, What};

/// A finished PDF.
#[derive(Debug, Clone)]
pub struct Paged {
    /// The file.
    pub bytes: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Signs that its letters lack; an empty box stands in their place.
    pub missing: Vec<char>,
}

/// The document as a PDF.
pub fn to_pdf(document: &Document) -> Result<Paged, PaperError> {
    let letters = Letters::new()?;
    let mut layer = Layer::new(&letters, document.sheet);
    for block in &document.blocks {
        layer.lay(block)?;
    }
    let pages = paginate(layer.strips, room(document.sheet).1);
    let count = pages.len();
    let mut writer = Writer::new(document, layer.tree)?;
    for (number, page) in pages.into_iter().enumerate() {
        let foot = Foot {
            left: letters.line(&Text::quiet(document.foot.as_str()), FOOT, 380.0),
            right: letters.line(
                &Text::quiet(format!("page {} of {count}", number + 1)),
                FOOT,
                100.0,
            ),
        };
        writer.page(&page, &foot, &letters, document)?;
    }
    writer.finish(document, &letters)
}

/// Size of the letters at the foot.
const FOOT: f32 = 7.8;

/// What stands at the foot of a page.
struct Foot {
    left: Line,
    right: Line,
}

/// Writes pages one after the other.
pub(crate) struct Writer {
    pdf: Pdf,
    tree: Tree,
    /// What was drawn for each node of the tree.
    drawn: Vec<Vec<Identifier>>,
    marks: Vec<(u8, String, usize, f32)>,
    pages: usize,
}

impl Writer {
    pub(crate) fn new(document: &Document, tree: Tree) -> Result<Writer, PaperError> {
        let rules = |error: String| PaperError::Rules { because: error };
        let configuration = ConfigurationBuilder::new()
            .with_archival_validator(Archival::A2_A)
            .with_accessibility_validator(Accessibility::UA1)
            .finish()
            .map_err(|error| rules(format!("{error:?}")))?;
        let mut pdf = Pdf::new_with(SerializeSettings {
            configuration,
            enable_tagging: true,
            ..SerializeSettings::default()
        });
        pdf.set_metadata(metadata(document));
        let drawn = vec![Vec::new(); tree.nodes.len()];
        Ok(Writer {
            pdf,
            tree,
            drawn,
            marks: Vec::new(),
            pages: 0,
        })
    }

    fn page(
        &mut self,
        page: &Page,
        foot: &Foot,
        letters: &Letters,
        document: &Document,
    ) -> Result<(), PaperError> {
        let (width, height) = document.sheet.points();
        for (y, strip) in &page.strips {
            if let Some((level, words)) = &strip.mark {
                let top = MARGINS.2 + y;
                self.marks.push((*level, words.clone(), self.pages, top));
            }
        }
        let mut placed: Vec<Part> = Vec::new();
        for (y, strip) in &page.strips {
            placed.extend(strip.parts.iter().cloned().map(|mut part| {
                part.x += MARGINS.0;
                part.y += MARGINS.2 + y;
                part
            }));
        }
        let base = height - MARGINS.3 / 2.0;
        let right = width - MARGINS.1 - foot.right.width;
        for (line, x) in [(&foot.left, MARGINS.0), (&foot.right, right)] {
            placed.push(Part {
                x,
                y: base,
                what: What::Words(line.clone(), Ink::Quiet),
                node: None,
            });
        }
        self.sheet((width, height), &placed, letters)
    }

    /// A sheet with these parts at their places.
    pub(crate) fn sheet(
        &mut self,
        (width, height): (f32, f32),
        parts: &[Part],
        letters: &Letters,
    ) -> Result<(), PaperError> {
        let settings = PageSettings::from_wh(width, height).ok_or(PaperError::Rules {
            because: "a sheet without a size".to_owned(),
        })?;
        let mut page = self.pdf.start_page_with(settings);
        let mut surface = page.surface();
        for part in parts {
            let tag = match part.node {
                Some(_) if matches!(part.what, What::Words(..)) => {
                    ContentTag::Span(SpanTag::empty())
                }
                Some(_) => ContentTag::Other,
                None => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
            };
            let identifier = surface.start_tagged(tag);
            let done = draw(&mut surface, part, letters, &self.tree);
            surface.end_tagged();
            done?;
            if let Some(drawn) = part.node.and_then(|node| self.drawn.get_mut(node)) {
                drawn.push(identifier);
            }
        }
        surface.finish();
        page.finish();
        self.pages += 1;
        Ok(())
    }

    pub(crate) fn finish(
        mut self,
        document: &Document,
        letters: &Letters,
    ) -> Result<Paged, PaperError> {
        self.pdf.set_outline(outline(&self.marks));
        let mut groups: Vec<Option<TagGroup>> = Vec::new();
        for ((meaning, _), drawn) in self.tree.nodes.iter().zip(&self.drawn) {
            let mut group = TagGroup::new(kind(meaning));
            for identifier in drawn {
                group.push(*identifier);
            }
            groups.push(Some(group));
        }
        // From the last to the first, so that each node is whole before it goes into the one above;
        // children are gathered turned round and set right at their parent.
        let mut below: Vec<Vec<TagGroup>> = vec![Vec::new(); self.tree.nodes.len()];
        let mut top = Vec::new();
        for (number, (_, above)) in self.tree.nodes.iter().enumerate().rev() {
            let Some(mut group) = groups.get_mut(number).and_then(Option::take) else {
                continue;
            };
            if let Some(children) = below.get_mut(number) {
                for child in children.drain(..).rev() {
                    group.push(child);
                }
            }
            if group.children.is_empty() {
                continue;
            }
            match above.and_then(|above| below.get_mut(above)) {
                Some(siblings) => siblings.push(group),
                None => top.push(group),
            }
        }
        let nodes: Vec<Node> = top.into_iter().rev().map(Node::from).collect();
        let language = Some(document.language.clone());
        self.pdf
            .set_tag_tree(TagTree::from(nodes).with_lang(language));
        let bytes = self.pdf.finish().map_err(|error| PaperError::Rules {
            because: format!("{error:?}"),
        })?;
        Ok(Paged {
            bytes,
            pages: self.pages,
            missing: letters.missing(),
        })
    }
}

fn draw(
    surface: &mut Surface<'_>,
    part: &Part,
    letters: &Letters,
    tree: &Tree,
) -> Result<(), PaperError> {
    match &part.what {
        What::Words(line, ink) => {
            for run in &line.runs {
                surface.set_fill(Some(fill(ink_of(run.look, *ink))));
                surface.draw_glyphs(
                    Point::from_xy(part.x + run.x, part.y),
                    &run.glyphs,
                    letters.font(run.look),
                    &run.text,
                    line.size,
                    false,
                );
            }
        }
        What::Field(width, height, ink) => {
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(part.x, part.y, *width, *height) {
                path.push_rect(rect);
            }
            if let Some(path) = path.finish() {
                surface.set_fill(Some(fill(*ink)));
                surface.draw_path(&path);
            }
        }
        What::Photograph(picture, width, height) => {
            let image = Image::from_jpeg(picture.bytes.clone().into(), false);
            let image = image.map_err(|because| PaperError::Photograph {
                about: about(part, tree),
                because,
            })?;
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.push_transform(&Transform::from_translate(part.x, part.y));
                surface.draw_image(image, size);
                surface.pop();
            }
        }
        What::Drawing(drawing, width, height) => {
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.push_transform(&Transform::from_translate(part.x, part.y));
                let drawn = surface.draw_svg(drawing, size, SvgSettings::default());
                surface.pop();
                drawn.ok_or_else(|| PaperError::Drawing {
                    about: about(part, tree),
                    because: "it cannot be drawn".to_owned(),
                })?;
            }
        }
    }
    Ok(())
}

fn about(part: &Part, tree: &Tree) -> String {
    match part.node.and_then(|node| tree.nodes.get(node)) {
        Some((Meaning::Figure(about), _)) => about.clone(),
        _ => String::new(),
    }
}

fn fill(ink: Ink) -> Fill {
    let (red, green, blue) = ink.rgb();
    Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn kind(meaning: &Meaning) -> TagKind {
    match meaning {
        Meaning::Heading(level, words) => {
            let level = std::num::NonZeroU16::new(u16::from(*level));
            Tag::Hn(
                level.unwrap_or(std::num::NonZeroU16::MIN),
                Some(words.clone()),
            )
            .into()
        }
        Meaning::Paragraph => Tag::P.into(),
        Meaning::List => Tag::L(ListNumbering::Disc).into(),
        Meaning::Item => Tag::LI.into(),
        Meaning::ItemBody => Tag::LBody.into(),
        Meaning::ItemMark => Tag::Lbl.into(),
        Meaning::Table(about) => Tag::Table.with_summary(Some(about.clone())).into(),
        Meaning::TableHead => Tag::THead.into(),
        Meaning::TableBody => Tag::TBody.into(),
        Meaning::Row => Tag::TR.into(),
        Meaning::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        Meaning::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Meaning::Cell => Tag::TD.into(),
        Meaning::Figure(about) => Tag::Figure(Some(about.clone())).into(),
    }
}

/// The list of contents: sections, with what stands below each.
fn outline(marks: &[(u8, String, usize, f32)]) -> Outline {
    let mut outline = Outline::new();
    let mut section: Option<OutlineNode> = None;
    for (level, words, page, top) in marks {
        let place = XyzDestination::new(*page, Point::from_xy(MARGINS.0, *top));
        let node = OutlineNode::new(words.clone(), place);
        match (&mut section, level) {
            (Some(section), 3..) => section.push_child(node),
            _ => {
                if let Some(done) = section.replace(node) {
                    outline.push_child(done);
                }
            }
        }
    }
    if let Some(done) = section {
        outline.push_child(done);
    }
    outline
}

fn metadata(document: &Document) -> Metadata {
    let mut metadata = Metadata::new()
        .title(document.title.clone())
        .description(document.about.clone())
        .language(document.language.clone())
        .creator(document.made_by.clone());
    if !document.author.is_empty() {
        metadata = metadata.authors(vec![document.author.clone()]);
    }
    metadata.creation_date(date(document.made_at))
}

fn date(moment: Moment) -> DateTime {
    let hours = i8::try_from(moment.offset_minutes / 60).unwrap_or_default();
    let minutes = u8::try_from((moment.offset_minutes % 60).abs()).unwrap_or_default();
    DateTime::new(moment.year)
        .month(moment.month)
        .day(moment.day)
        .hour(moment.hour)
        .minute(moment.minute)
        .second(moment.second)
        .utc_offset_hour(hours)
        .utc_offset_minute(minutes)
}
