/// FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo; RFC 9923), 32 bits.
const fn hash(text: &str) -> u32 {
    let bytes = text.as_bytes();
    let mut hash: u32 = 0x811c_9dc5;
    let mut at = 0;
    while at < bytes.len() {
        hash = (hash ^ bytes[at] as u32).wrapping_mul(0x0100_0193);
        at += 1;
    }
    hash
}
