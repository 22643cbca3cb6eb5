//! The bytes of a glTF file: its own chunk, buffers in the text, files beside it.
//!
//! In: accessors as the structure states them. Out: whole numbers and points, in the
//! file's unit, once what is stated was held against the bytes that are there.

use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use glam::DVec3;
use gltf::Accessor;
use gltf::accessor::{DataType, Dimensions};
use gltf::buffer::Source;

use super::fault::MeshFault;
use super::read::{beside, bytes_of};
use crate::base::limits::MAX_MESH_BYTES;

/// Buffers as far as they were asked for.
pub(super) struct Buffers<'f> {
    file: &'f str,
    folder: &'f Path,
    /// The chunk of a `.glb`, until it is taken.
    blob: Option<Vec<u8>>,
    read: Vec<Option<Vec<u8>>>,
    /// Bytes read so far.
    bytes: u64,
}

/// Elements of an accessor in a buffer that was read.
pub(super) struct Elements {
    buffer: usize,
    start: usize,
    stride: usize,
    pub count: usize,
    pub shape: (DataType, Dimensions),
}

impl<'f> Buffers<'f> {
    /// `count` buffers of which none is read, of a file of `bytes` bytes: what messages
    /// call it, and where it lies.
    pub fn new(
        (file, folder): (&'f str, &'f Path),
        blob: Option<Vec<u8>>,
        count: usize,
        bytes: u64,
    ) -> Self {
        Self { file, folder, blob, read: vec![None; count], bytes }
    }

    /// What messages call the file.
    pub fn file(&self) -> &str {
        self.file
    }

    /// What was found in the file, and what is allowed.
    pub fn fault(&self, found: &str, allowed: &str) -> MeshFault {
        MeshFault::new(format!("`{}`: {found}", self.file), allowed)
    }

    /// Where the elements of an accessor lie; all of them do lie there.
    pub fn elements(&mut self, accessor: &Accessor<'_>, what: &str) -> Result<Elements, MeshFault> {
        if accessor.sparse().is_some() {
            let found = format!("{what}: sparse data");
            return Err(self.fault(&found, "data that is stored whole"));
        }
        let Some(view) = accessor.view() else {
            let found = format!("{what}: no data of its own, which compression leaves behind");
            return Err(self
                .fault(&found, "data that is stored whole")
                .help("export without compression"));
        };
        let buffer = view.buffer().index();
        self.load(&view.buffer(), what)?;
        let have = self.read[buffer].as_ref().map_or(0, Vec::len);
        let size = accessor.size();
        let stride = view.stride().unwrap_or(size);
        let end = || {
            let start = view.offset().checked_add(accessor.offset())?;
            let last = stride.checked_mul(accessor.count().checked_sub(1)?)?;
            let within = accessor.offset().checked_add(last)?.checked_add(size)?;
            let fits = within <= view.length() && view.offset().checked_add(view.length())? <= have;
            (fits && stride >= size).then_some(start)
        };
        match end() {
            Some(start) => Ok(Elements {
                buffer,
                start,
                stride,
                count: accessor.count(),
                shape: (accessor.data_type(), accessor.dimensions()),
            }),
            None => {
                let found = format!(
                    "{what}: {} elements that do not fit into the {have} bytes of buffer {buffer}",
                    accessor.count()
                );
                Err(self.fault(&found, "data that is there"))
            }
        }
    }

    /// Reads a buffer unless it is there already.
    fn load(&mut self, buffer: &gltf::Buffer<'_>, what: &str) -> Result<(), MeshFault> {
        let index = buffer.index();
        if self.read[index].is_some() {
            return Ok(());
        }
        let named = format!("{what}: buffer {index}");
        let data = match buffer.source() {
            Source::Bin => match self.blob.take() {
                Some(blob) => blob,
                None => return Err(self.fault(&format!("{named} is missing"), "a BIN chunk")),
            },
            Source::Uri(uri) => match uri.strip_prefix("data:") {
                Some(data) => {
                    let decoded =
                        data.split_once(";base64,").and_then(|(_, b)| STANDARD.decode(b).ok());
                    decoded.ok_or_else(|| {
                        self.fault(&format!("{named} is no base64"), "data:...;base64,...")
                    })?
                }
                None => self.beside(uri, &named)?,
            },
        };
        if data.len() < buffer.length() {
            let found = format!("{named} of {} bytes, {} stated", data.len(), buffer.length());
            return Err(self.fault(&found, "all of its bytes"));
        }
        self.read[index] = Some(data);
        Ok(())
    }

    fn beside(&mut self, uri: &str, named: &str) -> Result<Vec<u8>, MeshFault> {
        let decoded = decoded(uri);
        let inside = |fault: MeshFault| MeshFault {
            found: format!("`{}`: {named} is {}", self.file, fault.found),
            ..fault
        };
        let path = beside(self.folder, &decoded).map_err(inside)?;
        let bytes = bytes_of(&path, &decoded).map_err(inside)?;
        self.bytes += bytes.len() as u64;
        if self.bytes > MAX_MESH_BYTES {
            let found = format!("more than {MAX_MESH_BYTES} bytes with its buffers");
            return Err(self.fault(&found, "a smaller model"));
        }
        Ok(bytes)
    }

    fn bytes_at<const N: usize>(&self, elements: &Elements, index: usize, off: usize) -> [u8; N] {
        let from = elements.start + elements.stride * index + off;
        let buffer = self.read[elements.buffer].as_deref().unwrap_or_default();
        buffer.get(from..from + N).and_then(|b| b.try_into().ok()).unwrap_or([0; N])
    }

    /// A whole number of one, two or four bytes.
    pub fn whole(&self, elements: &Elements, index: usize) -> usize {
        match elements.shape.0 {
            DataType::U8 => usize::from(self.bytes_at::<1>(elements, index, 0)[0]),
            DataType::U16 => usize::from(u16::from_le_bytes(self.bytes_at(elements, index, 0))),
            _ => u32::from_le_bytes(self.bytes_at(elements, index, 0)) as usize,
        }
    }

    /// Three 32-bit floats.
    pub fn point(&self, elements: &Elements, index: usize) -> DVec3 {
        let value = |i: usize| f64::from(f32::from_le_bytes(self.bytes_at(elements, index, 4 * i)));
        DVec3::new(value(0), value(1), value(2))
    }
}

/// A name of a file out of an address in which some signs are written as percent and number.
pub(super) fn decoded(uri: &str) -> String {
    percent_encoding::percent_decode_str(uri).decode_utf8_lossy().into_owned()
}
