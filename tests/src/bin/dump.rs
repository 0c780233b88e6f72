//! Prints what this program makes of given or seeded material, one JSON value a line, so that programs written by
//! others can be set beside it (`oracles/`). Logs and cases have one shape in both directions:
//!
//! - `{"kind":"log","leaves":[hex…],"roots":{"3":hex…}}`
//! - `{"kind":"inclusion","leaf_index","tree_size","leaf_hash","root","proof":[…],"valid","what"}`
//! - `{"kind":"consistency","size1","size2","root1","root2","proof":[…],"valid","what"}`

use serde_json::{Value, json};
use sidelong_core::log::tree::{self, InMemory};
use sidelong_core::log::{Hash, canon, head};
use sidelong_core::photo;
use sidelong_core::record::thickness::{Removal, Summary, difference_tenths, removal};
use sidelong_core::record::vin::VinDoubt;
use sidelong_core::record::{fleet, vin};
use sidelong_tests::Dice;
use std::error::Error;
use std::io::{BufRead as _, Write as _};

type Done = Result<(), Box<dyn Error>>;

fn main() -> Done {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    match words.as_slice() {
        ["numbers", seed, count] => numbers(&mut out, Dice(seed.parse()?), count.parse()?)?,
        ["canon"] => each_line(|line| Ok(writeln!(out, "{}", canonical(line))?))?,
        ["logs", seed] => logs(&mut out, Dice(seed.parse()?))?,
        ["check-logs"] => check_logs(&mut out)?,
        ["vkey", log, public] => {
            let public = canon::unhex(public).ok_or("a key is 32 bytes in hex")?;
            writeln!(out, "{}", head::vkey(log, &public)?)?;
        }
        ["heads"] => each_line(|line| Ok(writeln!(out, "{}", read_head(&serde_json::from_str(line)?)?)?))?,
        ["thickness"] => {
            each_line(|line| Ok(writeln!(out, "{}", thickness(&serde_json::from_str(line)?)?)?))?
        }
        ["vins"] => {
            each_line(|line| Ok(writeln!(out, "{}", vin_doubts(&serde_json::from_str::<String>(line)?))?))?
        }
        ["fleets"] => each_line(|line| {
            let list = fleet::read_fleet(&unhex(&serde_json::from_str::<String>(line)?)?);
            Ok(writeln!(out, "{}", serde_json::to_string(&list)?)?)
        })?,
        ["photos", files @ ..] => {
            for file in files {
                writeln!(out, "{}", read_photo(file)?)?;
            }
        }
        _ => {
            return Err(
                "numbers SEED COUNT | canon | logs SEED | check-logs | vkey LOG KEY | heads | thickness | vins | \
                 fleets | photos FILE…"
                    .into(),
            );
        }
    }
    out.flush()?;
    Ok(())
}

fn each_line(mut act: impl FnMut(&str) -> Done) -> Done {
    for line in std::io::stdin().lock().lines() {
        act(&line?)?;
    }
    Ok(())
}

/// `bits in hex,RFC 8785 text` of doubles of all sizes: any bits, sums of decimals, integers about 2^53.
fn numbers(out: &mut impl std::io::Write, mut dice: Dice, count: usize) -> Done {
    for at in 0..count {
        let bits = dice.roll();
        let number = match at % 4 {
            0 | 1 => f64::from_bits(bits),
            2 => (bits >> 40) as f64 / 10_f64.powi(i32::try_from(bits % 30)?),
            _ => ((bits >> 10) as f64) * if bits.is_multiple_of(2) { 1.0 } else { -0.5 },
        };
        let text = match serde_jcs::to_string(&number) {
            Ok(text) => text,
            Err(_) => "refused".to_owned(),
        };
        writeln!(out, "{:016x},{text}", number.to_bits())?;
    }
    Ok(())
}

/// What `canon` makes of a JSON text and reads back; "refused" where it holds what no event may hold.
fn canonical(line: &str) -> String {
    let made = |value: Value| {
        let bytes = canon::bytes(&value).ok()?;
        Some(if canon::read(&bytes) == Ok(value) {
            String::from_utf8(bytes).ok()?
        } else {
            "not read back".to_owned()
        })
    };
    serde_json::from_str::<Value>(line).ok().and_then(made).unwrap_or_else(|| "refused".to_owned())
}

fn hash_hex(hash: &Hash) -> String {
    canon::hex(&hash.0)
}

fn proof_hex(proof: &[Hash]) -> Vec<String> {
    proof.iter().map(hash_hex).collect()
}

/// A claim about a log that can be checked without the log.
#[derive(Debug, Clone)]
enum Claim {
    Inclusion { index: u64, size: u64, leaf: Hash, root: Hash },
    Consistency { old: u64, new: u64, old_root: Hash, new_root: Hash },
}

impl Claim {
    fn holds(&self, proof: &[Hash]) -> bool {
        let proof = proof.to_vec();
        match *self {
            Self::Inclusion { index, size, leaf, root } => {
                tlog_tiles::check_record(&proof, size, root, index, leaf).is_ok()
            }
            Self::Consistency { old, new, old_root, new_root } => {
                tree::check_consistency(&proof, new, new_root, old, old_root)
            }
        }
    }

    fn line(&self, proof: &[Hash], what: &str) -> Value {
        let valid = self.holds(proof);
        let proof = proof_hex(proof);
        match self {
            Self::Inclusion { index, size, leaf, root } => json!({
                "kind": "inclusion", "leaf_index": index, "tree_size": size, "leaf_hash": hash_hex(leaf),
                "root": hash_hex(root), "proof": proof, "valid": valid, "what": what,
            }),
            Self::Consistency { old, new, old_root, new_root } => json!({
                "kind": "consistency", "size1": old, "size2": new, "root1": hash_hex(old_root),
                "root2": hash_hex(new_root), "proof": proof, "valid": valid, "what": what,
            }),
        }
    }

    fn read(case: &Value) -> Option<Self> {
        let number = |name: &str| case[name].as_u64();
        let hash = |name: &str| Some(Hash(canon::unhex(case[name].as_str()?)?));
        match case["kind"].as_str()? {
            "inclusion" => Some(Self::Inclusion {
                index: number("leaf_index")?,
                size: number("tree_size")?,
                leaf: hash("leaf_hash")?,
                root: hash("root")?,
            }),
            _ => Some(Self::Consistency {
                old: number("size1")?,
                new: number("size2")?,
                old_root: hash("root1")?,
                new_root: hash("root2")?,
            }),
        }
    }

    /// Changes one of its numbers by one, or doubles the size. The claim may happen to hold still: a proof of
    /// inclusion does not bind the size.
    fn renumbered(&self, dice: &mut Dice) -> Self {
        let mut other = self.clone();
        let (place, size) = match &mut other {
            Self::Inclusion { index, size, .. } => (index, size),
            Self::Consistency { old, new, .. } => (old, new),
        };
        match dice.below(5) {
            0 => *place += 1,
            1 => *place = place.saturating_sub(1).max(1),
            2 => *size += 1,
            3 => *size = size.saturating_sub(1).max(1),
            _ => *size *= 2,
        }
        other
    }

    fn hashes(&mut self) -> [&mut Hash; 2] {
        match self {
            Self::Inclusion { leaf, root, .. } => [leaf, root],
            Self::Consistency { old_root, new_root, .. } => [old_root, new_root],
        }
    }
}

fn flip(hash: &mut Hash, dice: &mut Dice) {
    hash.0[dice.below(32)] ^= 1 << dice.below(8);
}

/// A claim with its proof, and the same with one thing wrong.
fn with_corruptions(out: &mut impl std::io::Write, claim: &Claim, proof: &[Hash], dice: &mut Dice) -> Done {
    if !claim.holds(proof) {
        return Err(format!("our own proof does not hold: {claim:?}").into());
    }
    writeln!(out, "{}", claim.line(proof, "sound"))?;
    let (mut other, mut wrong) = (claim.clone(), proof.to_vec());
    let at = dice.below(proof.len());
    let what = match dice.below(7) {
        0 if !proof.is_empty() => {
            flip(&mut wrong[at], dice);
            "a bit of the proof"
        }
        1 if !proof.is_empty() => {
            wrong.remove(at);
            "a hash left out"
        }
        2 => {
            wrong.insert(at, Hash(canon::sha256(&dice.roll().to_le_bytes())));
            "a hash put in"
        }
        3 => {
            wrong.push(*claim.clone().hashes()[1]);
            "the root at the end"
        }
        4 if proof.len() > 1 => {
            wrong.swap(0, proof.len() - 1);
            "two hashes exchanged"
        }
        5 => {
            flip(other.hashes()[1], dice);
            "a bit of the root"
        }
        _ => {
            // Equal sizes: both roots are one, so a bit of either is wrong.
            flip(other.hashes()[0], dice);
            "a bit of the leaf or the old root"
        }
    };
    if other.holds(&wrong) {
        return Err(format!("{what} goes unnoticed: {other:?}").into());
    }
    writeln!(out, "{}", other.line(&wrong, what))?;
    writeln!(out, "{}", claim.renumbered(dice).line(proof, "renumbered"))?;
    Ok(())
}

/// Seeded logs with roots and proofs: every size to 300, then some larger ones.
fn logs(out: &mut impl std::io::Write, mut dice: Dice) -> Done {
    for leaves in [300, 1_025, 20_000] {
        let mut log = InMemory::default();
        let mut bytes = Vec::new();
        for _ in 0..leaves {
            let leaf: Vec<u8> = (0..dice.below(24)).map(|_| dice.roll().to_le_bytes()[0]).collect();
            log.push(tree::leaf(&leaf))?;
            bytes.push(leaf);
        }
        let sizes: Vec<u64> = if leaves == 300 {
            (1..=300).collect()
        } else {
            (0..60).map(|_| dice.below(leaves) as u64 + 1).chain([512, 513, leaves as u64]).collect()
        };
        let mut roots = serde_json::Map::new();
        for size in &sizes {
            roots.insert(size.to_string(), hash_hex(&tree::root(*size, &log)?).into());
        }
        let shown: Vec<String> = bytes.iter().map(|leaf| canon::hex(leaf)).collect();
        writeln!(out, "{}", json!({"kind": "log", "leaves": shown, "roots": roots}))?;
        for size in sizes {
            let root = tree::root(size, &log)?;
            for _ in 0..2 {
                let below = usize::try_from(size)?;
                let index = dice.below(below);
                let claim =
                    Claim::Inclusion { index: index as u64, size, leaf: tree::leaf(&bytes[index]), root };
                let proof = tlog_tiles::prove_record(size, index as u64, &log)?;
                with_corruptions(out, &claim, &proof, &mut dice)?;
                let old = dice.below(below) as u64 + 1;
                let old_root = tree::root(old, &log)?;
                let claim = Claim::Consistency { old, new: size, old_root, new_root: root };
                let proof = tree::prove_consistency(size, old, &log)?;
                with_corruptions(out, &claim, &proof, &mut dice)?;
            }
        }
    }
    Ok(())
}

/// Checks what another program made; prints `{"roots","sound","refused","disagree":[…]}`.
fn check_logs(out: &mut impl std::io::Write) -> Done {
    let (mut roots, mut sound, mut refused) = (0_u64, 0_u64, 0_u64);
    let mut disagree: Vec<Value> = Vec::new();
    each_line(|line| {
        let case: Value = serde_json::from_str(line)?;
        if case["kind"] == "log" {
            let mut log = InMemory::default();
            for leaf in case["leaves"].as_array().ok_or("leaves")? {
                log.push(tree::leaf(&unhex(leaf.as_str().ok_or("a leaf")?)?))?;
            }
            for (size, root) in case["roots"].as_object().ok_or("roots")? {
                roots += 1;
                if hash_hex(&tree::root(size.parse()?, &log)?) != root.as_str().unwrap_or_default() {
                    disagree.push(json!({"kind": "root", "size": size, "root": root}));
                }
            }
            return Ok(());
        }
        let proof: Option<Vec<Hash>> = case["proof"]
            .as_array()
            .ok_or("a proof")?
            .iter()
            .map(|hash| Some(Hash(canon::unhex(hash.as_str()?)?)))
            .collect();
        // What is no hash of 32 bytes cannot be put into our types at all: that is a refusal.
        let holds = Claim::read(&case).zip(proof).is_some_and(|(claim, proof)| claim.holds(&proof));
        if Some(holds) == case["valid"].as_bool() {
            *(if holds { &mut sound } else { &mut refused }) += 1;
        } else {
            disagree.push(case);
        }
        Ok(())
    })?;
    let told = json!({"roots": roots, "sound": sound, "refused": refused, "disagree": disagree});
    writeln!(out, "{told}")?;
    Ok(())
}

fn unhex(text: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    text.as_bytes().chunks(2).map(|pair| Ok(u8::from_str_radix(std::str::from_utf8(pair)?, 16)?)).collect()
}

/// Reads `{"log","public","note"}` (key and note in hex) as a signed head.
fn read_head(case: &Value) -> Result<Value, Box<dyn Error>> {
    let text = |name: &str| case[name].as_str().ok_or_else(|| format!("no {name}"));
    let public = canon::unhex(text("public")?).ok_or("a key is 32 bytes in hex")?;
    Ok(match head::read(&unhex(text("note")?)?, text("log")?, &public) {
        Ok(head) => json!({"size": head.size, "root": hash_hex(&head.root)}),
        Err(why) => json!({"refused": why.to_string()}),
    })
}

fn read_photo(file: &str) -> Result<Value, Box<dyn Error>> {
    let bytes = std::fs::read(file).map_err(|why| format!("{file}: {why}"))?;
    Ok(match photo::read(&bytes) {
        Ok(facts) => json!({
            "file": file, "sha256": facts.sha256, "len": facts.len, "media": facts.media,
            "width": facts.width_px, "height": facts.height_px, "orientation": facts.orientation,
            "taken": facts.taken,
        }),
        Err(why) => json!({"file": file, "refused": why}),
    })
}

/// What is made of `{"before","after","accuracy"}`, readings in µm.
fn thickness(case: &Value) -> Result<Value, Box<dyn Error>> {
    let readings = |name: &str| serde_json::from_value::<Vec<u32>>(case[name].clone());
    let (before, after) = (readings("before")?, readings("after")?);
    let accuracy = u32::try_from(case["accuracy"].as_u64().ok_or("an accuracy")?)?;
    let summary = Summary::of(&before).ok_or("readings")?;
    let (verdict, tenths, limit) = match removal(&before, &after, accuracy) {
        Removal::NotEnough => ("not enough", None, None),
        Removal::Within { tenths, limit_tenths } => ("within", Some(tenths), Some(limit_tenths)),
        Removal::NearLimit { tenths, limit_tenths } => ("near limit", Some(tenths), Some(limit_tenths)),
        Removal::Clear { tenths, limit_tenths } => ("clear", Some(tenths), Some(limit_tenths)),
        Removal::Rose { tenths, limit_tenths } => ("rose", Some(tenths), Some(limit_tenths)),
    };
    Ok(json!({
        "mean": summary.mean_tenths_um, "doubtful": summary.doubtful, "grubbs": summary.grubbs,
        "difference": difference_tenths(&before, &after),
        "verdict": verdict, "tenths": tenths, "limit": limit,
    }))
}

/// `{"length","cannot":[position…],"computed"}`, null where there is no such doubt.
fn vin_doubts(read: &str) -> Value {
    let (mut length, mut cannot, mut digit) = (None, Vec::new(), None);
    for doubt in vin::doubts(read) {
        match doubt {
            VinDoubt::WrongLength { found } => length = Some(found),
            VinDoubt::CannotBe { position, .. } => cannot.push(position),
            VinDoubt::CheckDigit { computed, .. } => digit = Some(computed),
        }
    }
    json!({"length": length, "cannot": cannot, "computed": digit})
}
