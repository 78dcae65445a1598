//! What makes the file PDF/A-3b: metadata, output intent, associated files, fixed ids.

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};
use sha2::{Digest, Sha256};

use super::document::text_string;
use super::embed::packed;
use crate::figure::escape;
use crate::{Handover, RenderError};

/// The two files that travel inside.
pub(crate) struct Attachments<'a> {
    pub(crate) report: &'a [u8],
    pub(crate) entries: &'a [u8],
}

/// Adds everything that belongs to the file as a whole, and writes it.
pub(super) fn finish(
    doc: &mut Document,
    mut catalog: Dictionary,
    report: &Handover,
    attachments: &Attachments<'_>,
) -> Result<Vec<u8>, RenderError> {
    let issued = &report.identity.issued_at;
    let files = [
        (
            "entries.jsonl",
            attachments.entries,
            "application/x-ndjson",
            "Data",
            "The entries behind this report, one a line",
        ),
        (
            "report.json",
            attachments.report,
            "application/json",
            "Source",
            "What this report says, as data",
        ),
    ];
    let mut names: Vec<Object> = Vec::new();
    let mut associated: Vec<Object> = Vec::new();
    for (name, bytes, mime, relation, about) in files {
        let about = format!("{about}; {DIGEST_LABEL}{}", hex::encode(Sha256::digest(bytes)));
        let size = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        let dict = dictionary! {
            "Type" => "EmbeddedFile",
            "Subtype" => Object::Name(mime.as_bytes().to_vec()),
            "Params" => dictionary! {
                "Size" => size,
                "ModDate" => Object::string_literal(pdf_date(issued)?),
            },
        };
        let stream = doc.add_object(packed(dict, bytes.to_vec())?);
        let spec = doc.add_object(dictionary! {
            "Type" => "Filespec",
            "F" => Object::string_literal(name),
            "UF" => text_string(name),
            "Desc" => text_string(&about),
            "AFRelationship" => relation,
            "EF" => dictionary! { "F" => stream, "UF" => stream },
        });
        names.push(Object::string_literal(name));
        names.push(spec.into());
        associated.push(spec.into());
    }
    catalog.set("AF", associated);
    catalog.set("Names", dictionary! { "EmbeddedFiles" => dictionary! { "Names" => names } });
    let digest = Sha256::new()
        .chain_update(Sha256::digest(attachments.report))
        .chain_update(Sha256::digest(attachments.entries))
        .finalize();
    let id: Vec<u8> = digest.iter().take(16).copied().collect();
    catalog.set("Metadata", metadata(doc, report, &id)?);
    catalog.set("OutputIntents", vec![output_intent(doc)?]);
    *doc.catalog_mut().map_err(|e| RenderError::Internal { what: format!("catalogue: {e}") })? =
        catalog;
    let id = Object::String(id, StringFormat::Hexadecimal);
    doc.trailer.set("ID", vec![id.clone(), id]);
    let mut out = Vec::new();
    doc.save_to(&mut out)
        .map_err(|e| RenderError::Internal { what: format!("writing the file: {e}") })?;
    Ok(out)
}

/// Stands before the digest in the description of an embedded file.
const DIGEST_LABEL: &str = "SHA-256 ";

/// The digest in the description of an embedded file.
pub(crate) fn digest_in(about: &str) -> Option<&str> {
    about.rsplit_once(DIGEST_LABEL).map(|(_, digest)| digest)
}

/// Counts changes of what pages look like: a file of another layout is not compared to the byte.
pub const LAYOUT: u32 = 3;

/// What the file says made it.
pub(crate) fn producer() -> String {
    format!("Dishwright report {}, layout {LAYOUT}", env!("CARGO_PKG_VERSION"))
}

/// What a file says made it.
pub(crate) fn producer_in(doc: &Document) -> Option<String> {
    let id = doc.catalog().ok()?.get(b"Metadata").and_then(Object::as_reference).ok()?;
    let stream = doc.get_object(id).and_then(Object::as_stream).ok()?;
    let text = String::from_utf8_lossy(&stream.content).into_owned();
    let (_, tail) = text.split_once("<pdf:Producer>")?;
    tail.split_once("</pdf:Producer>").map(|(name, _)| name.to_owned())
}

fn output_intent(doc: &mut Document) -> Result<Object, RenderError> {
    let mut profile = moxcms::ColorProfile::new_srgb();
    // The profile's own date would be read from a clock otherwise.
    profile.creation_date_time = moxcms::ColorDateTime {
        year: 2026,
        month: 1,
        day_of_the_month: 1,
        hours: 0,
        minutes: 0,
        seconds: 0,
    };
    let icc = profile
        .encode()
        .map_err(|e| RenderError::Internal { what: format!("colour profile: {e}") })?;
    let icc = doc.add_object(packed(dictionary! { "N" => 3 }, icc)?);
    Ok(Object::Dictionary(dictionary! {
        "Type" => "OutputIntent",
        "S" => "GTS_PDFA1",
        "OutputConditionIdentifier" => Object::string_literal("sRGB"),
        "RegistryName" => Object::string_literal("http://www.color.org"),
        "Info" => Object::string_literal("sRGB IEC61966-2.1"),
        "DestOutputProfile" => icc,
    }))
}

fn metadata(doc: &mut Document, report: &Handover, id: &[u8]) -> Result<ObjectId, RenderError> {
    let date = xmp_date(&report.identity.issued_at)?;
    let title = escape(&title(report));
    let producer = producer();
    let hex = hex::encode(id);
    let xmp = format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" \
xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" \
xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\" \
xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\">\n\
<pdfaid:part>3</pdfaid:part>\n<pdfaid:conformance>B</pdfaid:conformance>\n\
<dc:format>application/pdf</dc:format>\n\
<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n\
<dc:creator><rdf:Seq><rdf:li>{}</rdf:li></rdf:Seq></dc:creator>\n\
<dc:language><rdf:Bag><rdf:li>{}</rdf:li></rdf:Bag></dc:language>\n\
<xmp:CreateDate>{date}</xmp:CreateDate>\n<xmp:ModifyDate>{date}</xmp:ModifyDate>\n\
<xmp:MetadataDate>{date}</xmp:MetadataDate>\n<xmp:CreatorTool>{producer}</xmp:CreatorTool>\n\
<pdf:Producer>{producer}</pdf:Producer>\n\
<xmpMM:DocumentID>urn:sha256:{hex}</xmpMM:DocumentID>\n\
</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>",
        escape(&report.site.name),
        escape(&report.identity.language),
    );
    let dict = dictionary! { "Type" => "Metadata", "Subtype" => "XML" };
    Ok(doc.add_object(Stream::new(dict, xmp.into_bytes()).with_compression(false)))
}

/// The file's title.
fn title(report: &Handover) -> String {
    format!("{} {}, {}", report.identity.kind, report.dish.position, report.site.name)
}

fn parse(date: &str) -> Result<chrono::DateTime<chrono::FixedOffset>, RenderError> {
    chrono::DateTime::parse_from_rfc3339(date)
        .map_err(|_| RenderError::BadDate { value: date.to_owned() })
}

/// A date as metadata writes it.
fn xmp_date(date: &str) -> Result<String, RenderError> {
    Ok(parse(date)?.format("%Y-%m-%dT%H:%M:%S%:z").to_string())
}

/// A date as the file's objects write it, such as `D:20260828074000-04'00'`.
pub(crate) fn pdf_date(date: &str) -> Result<String, RenderError> {
    let date = parse(date)?;
    let zone = date.format("%:z").to_string().replace(':', "'");
    Ok(format!("D:{}{zone}'", date.format("%Y%m%d%H%M%S")))
}
