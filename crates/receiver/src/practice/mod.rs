//! Sets with a hidden fault, for practice and for measuring the search.
//!
//! Units of the readings. A hidden set follows other tube laws than those that foretell ([`other_law`]), has every
//! part drawn from its tolerance, and one or two faults drawn from the fault table, kind by its chance
//! and severity by its law, or none ([`hidden`]); its owner complains of what it does ([`complaint`]). It answers what a meter reads, with the meter's own error and a
//! slip now and then ([`answers`]). All draws come from a seed: the same number gives the same set and
//! the same answers. Fails as the prediction does where a set cannot be solved.

pub mod answers;
pub mod complaint;
pub mod hidden;
pub mod loose;
pub mod other_law;
pub mod own_way;
pub mod signals;

/// A number from bytes, the same on every machine and in every version (FNV-1a, 64 bits; its published
/// constants).
fn fixed_hash(bytes: impl Iterator<Item = u8>) -> u64 {
    bytes.fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// The source of draws for a seed and a name.
fn draws(seed: u64, name: &str) -> rand_pcg::Pcg64 {
    let hash = fixed_hash(name.bytes().chain(seed.to_le_bytes()));
    rand::SeedableRng::seed_from_u64(hash)
}

/// A draw about nothing with a standard deviation of one: the sum of twelve even ones, normal enough.
fn bell(random: &mut rand_pcg::Pcg64) -> f64 {
    (0..12)
        .map(|_| rand::RngExt::random::<f64>(random))
        .sum::<f64>()
        - 6.0
}

#[cfg(test)]
mod tests {
    use super::fixed_hash;

    /// Published test values of FNV-1a (the authors' own list; from memory).
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(fixed_hash(b"".iter().copied()), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fixed_hash(b"a".iter().copied()), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fixed_hash(b"foobar".iter().copied()), 0x8594_4171_f739_67e8);
    }
}
