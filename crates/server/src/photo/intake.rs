//! A photograph as it comes from a phone, made fit to be kept: decoded, turned upright, made smaller
//! and encoded anew, so that nothing of the sender's file but its picture gets in: no place, no camera,
//! no hidden text, no second file behind the first.
//!
//! Whatever came, a JPEG is kept: a photograph of a car has no use for transparency, and one kind is
//! simpler to serve safely than two.

use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

use gradeworthy_store::{PHOTO_BYTES_MOST, PHOTO_SIDE_PX_MOST};
use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::PngDecoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, Limits, RgbImage};

/// The most bytes that are taken in. ASSUMED: a phone's photograph of 50 million pixels has 8 to 15 MB.
pub(crate) const SENT_BYTES_MOST: usize = 16 * 1024 * 1024;
/// The most pixels that are decoded. ASSUMED: what phones make today; each takes three bytes of memory,
/// four with transparency, and one photograph is decoded at a time.
const PIXELS_MOST: u64 = 50_000_000;
/// The longest side of a side before pixels are counted; longer ones are no photograph.
const SENT_SIDE_PX_MOST: u32 = 20_000;
/// The longest side that is kept. ASSUMED: a crack in a side frame shows at 2,048 pixels over a car.
const KEPT_SIDE_PX_MOST: u32 = 2_048;
/// Qualities tried until the photograph fits; the last is still a picture.
const QUALITIES: [u8; 4] = [85, 75, 60, 45];

const _: () = assert!(KEPT_SIDE_PX_MOST <= PHOTO_SIDE_PX_MOST as u32);

/// Why a photograph was not taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum PhotoFault {
    /// No file in the form.
    #[error("no photograph was chosen")]
    Missing,
    /// Too many bytes, of the file or of a field beside it.
    #[error(
        "what was sent has {:.1} MB, and at most {:.1} MB are taken: \
         let the camera take smaller photographs; nothing was kept", mb(*.found), mb(*.most)
    )]
    TooLong {
        /// How many there are.
        found: usize,
        /// The most.
        most: usize,
    },
    /// Another kind of file.
    #[error(
        "this is no JPEG or PNG photograph: take it with the camera, or save it as JPEG; \
         nothing was kept"
    )]
    NotAPhoto,
    /// A file that ends too early, or is damaged.
    #[error(
        "the photograph is damaged or was cut off on its way ({why}): send it again; nothing was kept"
    )]
    Broken {
        /// What the decoder said.
        why: String,
    },
    /// More pixels than are decoded.
    #[error(
        "the photograph has {width} × {height} pixels, and at most 50 million are taken: \
         make it smaller and send it again"
    )]
    TooManyPixels {
        /// Its width.
        width: u32,
        /// Its height.
        height: u32,
    },
    /// Nothing helped.
    #[error("the photograph does not fit into 1 MiB even when made small: send another one")]
    DoesNotFit,
}

/// Megabytes, for a message; of half a million bytes and more.
fn mb(bytes: usize) -> f64 {
    u32::try_from(bytes / 1024).map_or(f64::INFINITY, f64::from) / 1024.0
}

/// A photograph fit to be kept: a JPEG.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Prepared {
    pub(crate) bytes: Vec<u8>,
    pub(crate) width_px: u16,
    pub(crate) height_px: u16,
}

/// Makes a sent photograph fit to be kept.
///
/// # Errors
/// [`PhotoFault`] for what is none.
pub(crate) fn prepare(sent: &[u8]) -> Result<Prepared, PhotoFault> {
    /// One at a time: a photograph of 50 million pixels takes 200 MB while it is decoded.
    static ONE: Mutex<()> = Mutex::new(());
    let _one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
    let (image, orientation) = decode(sent)?;
    let mut image = flat(shrunk(image, KEPT_SIDE_PX_MOST));
    image.apply_orientation(orientation);
    for quality in QUALITIES {
        let bytes = encode(&image, quality)?;
        if bytes.len() <= PHOTO_BYTES_MOST {
            return fitted(&image, bytes);
        }
    }
    let image = shrunk(image, KEPT_SIDE_PX_MOST / 2);
    let bytes = encode(&image, QUALITIES[3])?;
    if bytes.len() <= PHOTO_BYTES_MOST {
        fitted(&image, bytes)
    } else {
        Err(PhotoFault::DoesNotFit)
    }
}

fn fitted(image: &DynamicImage, bytes: Vec<u8>) -> Result<Prepared, PhotoFault> {
    let side = |px: u32| u16::try_from(px).map_err(|_| PhotoFault::DoesNotFit);
    Ok(Prepared {
        bytes,
        width_px: side(image.width())?,
        height_px: side(image.height())?,
    })
}

fn decode(sent: &[u8]) -> Result<(DynamicImage, Orientation), PhotoFault> {
    match image::guess_format(sent) {
        Ok(ImageFormat::Jpeg) => {
            whole_jpeg(sent)?;
            pixels(JpegDecoder::new(Cursor::new(sent)).map_err(broken)?)
        }
        Ok(ImageFormat::Png) => pixels(PngDecoder::new(Cursor::new(sent)).map_err(broken)?),
        Ok(_) | Err(_) => Err(PhotoFault::NotAPhoto),
    }
}

/// The pixels, after they were counted, and which way is up.
fn pixels(mut decoder: impl ImageDecoder) -> Result<(DynamicImage, Orientation), PhotoFault> {
    let (width, height) = decoder.dimensions();
    let too_long = width > SENT_SIDE_PX_MOST || height > SENT_SIDE_PX_MOST;
    if too_long || u64::from(width) * u64::from(height) > PIXELS_MOST {
        return Err(PhotoFault::TooManyPixels { width, height });
    }
    let mut limits = Limits::default();
    // Twice the largest: PNG may have sixteen bits a channel.
    limits.max_alloc = Some(PIXELS_MOST * 8);
    decoder.set_limits(limits).map_err(broken)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let image = DynamicImage::from_decoder(decoder).map_err(broken)?;
    Ok((image, orientation))
}

#[expect(clippy::needless_pass_by_value, reason = "handed to map_err")]
fn broken(error: ImageError) -> PhotoFault {
    PhotoFault::Broken {
        why: error.to_string(),
    }
}

fn shrunk(image: DynamicImage, most: u32) -> DynamicImage {
    if image.width().max(image.height()) > most {
        image.thumbnail(most, most)
    } else {
        image
    }
}

/// Without transparency: on white.
fn flat(image: DynamicImage) -> DynamicImage {
    if !image.color().has_alpha() {
        return DynamicImage::ImageRgb8(image.into_rgb8());
    }
    let seen = image.into_rgba8();
    let mut flat = RgbImage::new(seen.width(), seen.height());
    for (own, under) in seen.pixels().zip(flat.pixels_mut()) {
        let alpha = u32::from(own[3]);
        for channel in 0..3 {
            let mixed = (u32::from(own[channel]) * alpha + 255 * (255 - alpha)) / 255;
            under[channel] = u8::try_from(mixed).unwrap_or(u8::MAX);
        }
    }
    DynamicImage::ImageRgb8(flat)
}

fn encode(image: &DynamicImage, quality: u8) -> Result<Vec<u8>, PhotoFault> {
    let mut bytes = Vec::new();
    image
        .write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, quality))
        .map_err(broken)?;
    Ok(bytes)
}

/// Refuses a JPEG that ends before its end: the decoder would fill the rest with grey and say nothing.
///
/// Source: ITU-T T.81 (JPEG), annex B: segments by their lengths; after a start of scan, coded data up to
/// the next marker that is neither a stuffed zero nor a restart; the end is marker `D9`.
fn whole_jpeg(sent: &[u8]) -> Result<(), PhotoFault> {
    const END: u8 = 0xD9;
    const SCAN: u8 = 0xDA;
    let cut = || PhotoFault::Broken {
        why: "it ends too early".to_owned(),
    };
    let mut at = 2;
    loop {
        let marker = next_marker(sent, &mut at).ok_or_else(cut)?;
        match marker {
            END => return Ok(()),
            // Markers without a segment: temporary, restarts, a start.
            0x01 | 0xD0..=0xD8 => continue,
            _ => {}
        }
        let length = sent.get(at..at + 2).ok_or_else(cut)?;
        at += usize::from(u16::from_be_bytes([length[0], length[1]])).max(2);
        if marker == SCAN {
            skip_coded(sent, &mut at);
        }
    }
}

/// The next marker, and past it.
fn next_marker(sent: &[u8], at: &mut usize) -> Option<u8> {
    while *sent.get(*at)? != 0xFF {
        *at += 1;
    }
    while *sent.get(*at)? == 0xFF {
        *at += 1;
    }
    *at += 1;
    sent.get(*at - 1).copied()
}

/// To the marker that ends coded data.
fn skip_coded(sent: &[u8], at: &mut usize) {
    while let Some(pair) = sent.get(*at..*at + 2) {
        if pair[0] == 0xFF && !matches!(pair[1], 0x00 | 0xD0..=0xD7 | 0xFF) {
            return;
        }
        *at += 1;
    }
    *at = sent.len();
}

#[cfg(test)]
mod tests;
