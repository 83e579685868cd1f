//! Front matter and settings: the first byte chooses the file, the rest is what it says.

use super::folder::linked;

const PATHS: [&str; 10] = [
    "symptoms/hum.md",
    "conditions/worn-bearing.md",
    "characteristics/tread-hum.md",
    "checks/bends-change-it.md",
    "checks/hub-play.md",
    "systems/wheels.md",
    "shop.yaml",
    "vehicles.yaml",
    "words.yaml",
    "cautions.yaml",
];

/// Marks lie in their files, come out the same twice, and do not depend on a byte-order mark. Without a carriage return
/// of its own the file has the same marks with the other line ends.
pub fn front_matter(data: &[u8]) {
    let Some((choice, text)) = data.split_first() else { return };
    let path = PATHS[usize::from(*choice) % PATHS.len()];
    let read = linked(&[(path, text)]);
    read.check(&[]);
    let marked = [b"\xEF\xBB\xBF", text].concat();
    let again = linked(&[(path, &marked)]);
    if !text.starts_with(b"\xEF\xBB\xBF") {
        assert_eq!(read.marks, again.marks, "a byte-order mark changes something");
    }
    if !text.contains(&b'\r') {
        let ends: Vec<u8> = text
            .iter()
            .flat_map(|byte| if *byte == b'\n' { &b"\r\n"[..] } else { std::slice::from_ref(byte) })
            .copied()
            .collect();
        let other = linked(&[(path, &ends)]);
        other.check(&[]);
        assert_eq!(read.places(), other.places(), "the other line ends change something");
    }
}
