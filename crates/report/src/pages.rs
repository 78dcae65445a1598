//! How many pages a file has.

/// The number of pages of a PDF; none when it can't be read.
#[must_use]
pub fn page_count(pdf: &[u8]) -> Option<u32> {
    let document = lopdf::Document::load_mem(pdf).ok()?;
    u32::try_from(document.get_pages().len()).ok()
}
