//! All that was placed, put together as a [`Sheet`].

use super::definitions::{Definitions, Header};
use super::encoding::CodePage;
use super::order::by_handle;
use super::place::Placed;
use super::sheet::{Evidence, Sheet, Skipped, Space};
use super::tally::Tally;

/// `notes` are about the file: what it defines, and its entities.
pub fn sheet(
    definitions: Definitions,
    mut placed: Placed,
    notes: [Tally; 2],
    shown: &str,
) -> Sheet {
    place_layout_blocks(&definitions, &mut placed);
    let (mut model, mut paper) = (placed.model, placed.paper);
    let mut space = Space::Model;
    let viewports = std::mem::take(&mut paper.viewports);
    let mut warnings = Vec::new();
    if !model.has_geometry() && paper.has_geometry() {
        space = Space::Paper;
        std::mem::swap(&mut model, &mut paper);
        warnings.push("model space holds no lines; paper space was read instead".to_owned());
    }
    let (read, mut skipped, of_entities) = model.tally.into_parts();
    for tally in notes {
        let (_, more, of_file) = tally.into_parts();
        for (entry, count) in more {
            *skipped.entry(entry).or_default() += count;
        }
        warnings.extend(of_file);
    }
    warnings.extend(of_entities);
    let other_space = match space {
        Space::Model => "in paper space",
        Space::Paper => "in model space, which holds no lines",
    };
    let (other_read, other_skipped, of_paper) = paper.tally.into_parts();
    for (kind, count) in other_read {
        let entry = Skipped {
            kind,
            reason: other_space.to_owned(),
            matters: false,
        };
        *skipped.entry(entry).or_default() += count;
    }
    for (mut entry, count) in other_skipped {
        entry.matters = false;
        *skipped.entry(entry).or_default() += count;
    }
    warnings.extend(of_paper);
    let header = definitions.header;
    if !header.page_name.is_empty() && !CodePage::knows(&header.page_name) {
        warnings.push(format!(
            "code page {} is not known; texts are read as Windows-1252",
            header.page_name
        ));
    }
    let mut evidence = evidence(&header);
    for (block, units) in &placed.other_units {
        evidence.push(Evidence::BlockUnits {
            block: definitions.block_names.get(*block).to_owned(),
            units: *units,
        });
    }
    let mut sheet = Sheet {
        file: shown.to_owned(),
        version: header.version,
        evidence,
        sources: placed.sources,
        layers: definitions.layer_names.into_list(),
        linetypes: definitions.linetype_names.into_list(),
        block_paths: placed.block_paths,
        segments: model.segments,
        arcs: model.arcs,
        ellipses: model.ellipses,
        texts: model.texts,
        dimensions: model.dimensions,
        hatch_segments: model.hatch_segments,
        hatch_arcs: model.hatch_arcs,
        hatch_ellipses: model.hatch_ellipses,
        space,
        viewports,
        paper_texts: paper.texts,
        paper_dimensions: paper.dimensions,
        read,
        skipped,
        warnings,
    };
    by_handle(&mut sheet);
    sheet
}

fn evidence(header: &Header) -> Vec<Evidence> {
    [
        header.units.map(Evidence::InsUnits),
        header.measurement.map(Evidence::Measurement),
        header.factor.map(Evidence::HeaderFactor),
        header.linear_format.map(Evidence::LinearFormat),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Layouts are blocks, too. The entities of model space and of the layout last
/// open stand in ENTITIES, those of further layouts in their blocks.
fn place_layout_blocks(definitions: &Definitions, placed: &mut Placed) {
    for block in &definitions.blocks {
        let name = definitions.block_names.get(block.name).to_lowercase();
        let layout = name.trim_start_matches(['*', '$']);
        let marked = layout.len() < name.len();
        let paper = marked && layout.starts_with("paper_space");
        if paper || (marked && layout == "model_space") {
            for item in &block.items {
                placed.item(definitions, item, paper);
            }
        }
    }
}
