//! Argon2id in a memory that is kept: taken and given back for every hash, tens of megabytes would leave holes.
use argon2::password_hash::phc::{Output, ParamsString, PasswordHash, Salt};
use argon2::{Algorithm, Argon2, Block, Params, Version};
use subtle::ConstantTimeEq;

/// What one thread reckons hashes in; it grows to the most that one of them needed.
#[derive(Default)]
pub struct Memory(Vec<Block>);

/// What a hash cannot be reckoned from; nothing of it comes from a request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unfit;

impl Memory {
    fn fill(&mut self, version: Version, params: &Params, password: &[u8], salt: &[u8], out: &mut [u8]) -> Option<()> {
        let blocks = params.block_count();
        if self.0.len() < blocks {
            self.0.resize(blocks, Block::new());
        }
        let argon2 = Argon2::new(Algorithm::Argon2id, version, params.clone());
        argon2.hash_password_into_with_memory(password, salt, out, self.0.get_mut(..blocks)?).ok()
    }

    /// The PHC string of a password, with a salt of its own.
    pub fn hash(&mut self, params: &Params, password: &str) -> Result<String, Unfit> {
        let (salt, mut out) = (Salt::generate(), [0; Params::DEFAULT_OUTPUT_LEN]);
        self.fill(Version::V0x13, params, password.as_bytes(), &salt, &mut out).ok_or(Unfit)?;
        let hash = PasswordHash {
            algorithm: Algorithm::Argon2id.ident(),
            version: Some(Version::V0x13.into()),
            params: ParamsString::try_from(params).map_err(|_| Unfit)?,
            salt: Some(salt),
            hash: Some(Output::new(&out).map_err(|_| Unfit)?),
        };
        Ok(hash.to_string())
    }

    /// Whether the password is that of a stored hash, by the version and the costs that it names.
    pub fn fits(&mut self, stored: &str, password: &str) -> Result<bool, Unfit> {
        let stored = PasswordHash::new(stored).map_err(|_| Unfit)?;
        if stored.algorithm != Algorithm::Argon2id.ident() {
            return Err(Unfit);
        }
        let version = stored.version.map_or(Ok(Version::V0x13), Version::try_from).map_err(|_| Unfit)?;
        let params = Params::try_from(&stored).map_err(|_| Unfit)?;
        let (salt, expected) = (stored.salt.ok_or(Unfit)?, stored.hash.ok_or(Unfit)?);
        let mut out = vec![0; expected.len()];
        self.fill(version, &params, password.as_bytes(), &salt, &mut out).ok_or(Unfit)?;
        Ok(out.ct_eq(expected.as_bytes()).into())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop, and say where")]
    use super::{Memory, Unfit};
    use argon2::password_hash::{PasswordHasher, PasswordVerifier};
    use argon2::{Algorithm, Argon2, Params, Version};

    fn small(kib: u32) -> Params {
        Params::new(kib, 2, 1, None).unwrap()
    }

    /// The library's own way, each time in new memory, is what both are held against.
    #[test]
    fn agrees_with_the_library_whatever_was_reckoned_before() {
        let mut memory = Memory::default();
        for kib in [64, 32, 256, 64] {
            let library = Argon2::new(Algorithm::Argon2id, Version::V0x13, small(kib));
            let ours = memory.hash(&small(kib), "four-strides-to-the-oxer").unwrap();
            assert_eq!(library.verify_password(b"four-strides-to-the-oxer", ours.as_str()), Ok(()));
            let theirs = library.hash_password(b"four-strides-to-the-oxer").unwrap().to_string();
            assert_eq!(memory.fits(&theirs, "four-strides-to-the-oxer"), Ok(true));
            assert_eq!(memory.fits(&theirs, "five-strides-to-the-oxer"), Ok(false));
            assert_ne!(ours, memory.hash(&small(kib), "four-strides-to-the-oxer").unwrap(), "a salt of its own");
        }
    }

    #[test]
    fn takes_no_other_kind_and_no_nonsense() {
        let mut memory = Memory::default();
        let other = Argon2::new(Algorithm::Argon2i, Version::V0x13, small(64));
        let stored = other.hash_password(b"four-strides-to-the-oxer").unwrap().to_string();
        for stored in
            [stored.as_str(), "", "$argon2id$v=19$m=64,t=2,p=1", "$argon2id$v=17$m=64,t=2,p=1$c2FsdHNhbHQ$AAAA"]
        {
            assert_eq!(memory.fits(stored, "four-strides-to-the-oxer"), Err(Unfit), "{stored}");
        }
    }
}
