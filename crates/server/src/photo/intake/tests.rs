//! What comes in as a photograph, and what must not.

use image::{ExtendedColorType, ImageEncoder, Rgb, Rgba, RgbaImage};

use super::*;

/// A picture whose four quarters are red, green (above), blue, white (below).
fn quarters(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        match (x < width / 2, y < height / 2) {
            (true, true) => Rgb([220, 20, 20]),
            (false, true) => Rgb([20, 220, 20]),
            (true, false) => Rgb([20, 20, 220]),
            (false, false) => Rgb([255, 255, 255]),
        }
    })
}

fn jpeg(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    let (width, height) = image.dimensions();
    encoder
        .write_image(image, width, height, ExtendedColorType::Rgb8)
        .expect("encoded");
    bytes
}

fn png(image: &DynamicImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image
        .write_to(&mut bytes, ImageFormat::Png)
        .expect("encoded");
    bytes.into_inner()
}

/// An Exif segment with an orientation and the words that a place would be in.
/// Source: CIPA DC-008 (Exif 2.32) §4.5: APP1, "Exif\0\0", a TIFF header, an IFD; tag 0x0112 is the
/// orientation, 6 a quarter turn to the right, tag 0x010E a description. From memory.
fn with_exif(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut tiff = b"MM\x00\x2a\x00\x00\x00\x08".to_vec();
    tiff.extend(b"\x00\x02");
    tiff.extend(b"\x01\x0e\x00\x02\x00\x00\x00\x0c\x00\x00\x00\x26");
    tiff.extend([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0]);
    tiff.extend(b"\x00\x00\x00\x00");
    tiff.extend(b"at my house\0");
    let mut body = b"Exif\0\0".to_vec();
    body.extend(tiff);
    let length = u16::try_from(body.len() + 2).expect("short").to_be_bytes();
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, 0xE1]);
    bytes.extend(length);
    bytes.extend(body);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn holds(bytes: &[u8], words: &[u8]) -> bool {
    bytes.windows(words.len()).any(|window| window == words)
}

fn corner(prepared: &Prepared, right: bool, below: bool) -> [u8; 3] {
    let image = image::load_from_memory(&prepared.bytes)
        .expect("a JPEG")
        .into_rgb8();
    let (width, height) = image.dimensions();
    let x = if right { width - 5 } else { 4 };
    let y = if below { height - 5 } else { 4 };
    image.get_pixel(x, y).0
}

/// The strongest channel: 0 red, 1 green, 2 blue.
fn strongest(pixel: [u8; 3]) -> usize {
    (0..3).max_by_key(|index| pixel[*index]).expect("three")
}

#[test]
fn a_photograph_is_turned_upright_and_nothing_else_of_the_file_is_kept() {
    let mut sent = with_exif(&jpeg(&quarters(64, 32)), 6);
    sent.extend(b"<script>alert(1)</script>");
    assert!(holds(&sent, b"at my house"));
    let kept = prepare(&sent).expect("a photograph");
    // A quarter turn to the right: what was below on the left is above on the left.
    assert_eq!((kept.width_px, kept.height_px), (32, 64));
    assert_eq!(strongest(corner(&kept, false, false)), 2, "blue");
    assert_eq!(strongest(corner(&kept, true, false)), 0, "red");
    for words in [&b"at my house"[..], b"Exif", b"<script"] {
        assert!(!holds(&kept.bytes, words));
    }
}

#[test]
fn a_large_photograph_is_made_small_enough_to_be_kept() {
    // Noise is the worst to code: a linear congruence with the constants of Numerical Recipes.
    let mut state = 1_u32;
    let noise = RgbImage::from_fn(3_000, 2_250, |_, _| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let bytes = state.to_be_bytes();
        Rgb([bytes[0], bytes[1], bytes[2]])
    });
    let kept = prepare(&jpeg(&noise)).expect("a photograph");
    assert!(kept.bytes.len() <= PHOTO_BYTES_MOST, "{}", kept.bytes.len());
    assert!(kept.width_px <= 2_048 && kept.width_px > kept.height_px);
}

#[test]
fn a_small_one_keeps_its_size_and_transparency_becomes_white() {
    let clear = RgbaImage::from_pixel(40, 30, Rgba([0, 0, 0, 0]));
    let kept = prepare(&png(&DynamicImage::ImageRgba8(clear))).expect("a photograph");
    assert_eq!((kept.width_px, kept.height_px), (40, 30));
    assert!(
        corner(&kept, false, false)
            .iter()
            .all(|channel| *channel > 250)
    );
}

#[test]
fn what_is_no_photograph_is_said_to_be_none() {
    let svg = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>";
    let html = b"<!doctype html><script>alert(1)</script>";
    let gif = b"GIF89a\x01\x00\x01\x00\x00\x00\x00;";
    for sent in [&svg[..], html, gif, b"", b"\xFF\xD8", b"%PDF-1.7"] {
        let fault = prepare(sent).expect_err("no photograph");
        let said = matches!(fault, PhotoFault::NotAPhoto | PhotoFault::Broken { .. });
        assert!(said, "{fault}");
    }
    // A file that begins as a JPEG and goes on as a page.
    let polyglot = [&b"\xFF\xD8\xFF\xE0"[..], html].concat();
    let fault = prepare(&polyglot).expect_err("no photograph");
    assert!(matches!(fault, PhotoFault::Broken { .. }), "{fault}");
}

#[test]
fn one_that_was_cut_off_is_refused_wherever_it_was_cut() {
    let image = quarters(200, 150);
    // A JPEG that lacks its end marker and nothing else; the decoder alone would take it.
    let whole = jpeg(&image);
    assert!(prepare(&whole[..whole.len() - 2]).is_err());
    let whole = [
        with_exif(&jpeg(&image), 1),
        png(&DynamicImage::ImageRgb8(image)),
    ];
    for sent in whole {
        assert!(prepare(&sent).is_ok());
        for parts in 1..20 {
            let cut = &sent[..sent.len() * parts / 20];
            let fault = prepare(cut).expect_err("cut off");
            let said = matches!(fault, PhotoFault::Broken { .. } | PhotoFault::NotAPhoto);
            assert!(said, "{parts} of 20: {fault}");
        }
    }
}

/// A header that claims more than it holds, with a right check sum (CRC-32, ISO 3309, as PNG asks).
fn bomb(width: u32, height: u32) -> Vec<u8> {
    let crc = |bytes: &[u8]| {
        let mut crc = u32::MAX;
        for byte in bytes {
            crc ^= u32::from(*byte);
            for _ in 0..8 {
                crc = (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg());
            }
        }
        !crc
    };
    let mut bytes = b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0d".to_vec();
    let mut head = b"IHDR".to_vec();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend([8, 6, 0, 0, 0]);
    bytes.extend(&head);
    bytes.extend(crc(&head).to_be_bytes());
    bytes.extend(b"\x00\x00\x00\x00IDAT\x35\xaf\x06\x1e");
    bytes
}

#[test]
fn a_bomb_is_refused_before_a_pixel_is_decoded() {
    for (width, height) in [(65_535, 65_535), (20_001, 1), (10_000, 5_001)] {
        let fault = prepare(&bomb(width, height)).expect_err("too large");
        assert_eq!(fault, PhotoFault::TooManyPixels { width, height });
    }
}
