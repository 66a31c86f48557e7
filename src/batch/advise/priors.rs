//! What is taken for likely before anything was read. None of it has a published source: where no other is named, it
//! is "common practice, no source".

/// The deviation of a meter's offset, in pH, where no buffer was read.
pub const OFFSET: f64 = 0.1;
/// The slope of a glass electrode as a share of the ideal one: 92 to 102 %, given as middle and deviation.
pub const SLOPE: (f64, f64) = (0.97, 0.029);
/// The deviation of a buffer's reading about what the meter really shows there: the noise of the reading and the
/// buffer itself, in pH.
pub const BUFFER_READING: f64 = 0.05;
/// An adjuster's strength as a share of what is written on it, middle and deviation. A base takes up carbonic acid
/// and water from the air, so that it is rather too weak than too strong.
pub const STRENGTH: (f64, f64) = (0.96, 0.07);
/// An acid's assay as a share of what is written on it, middle and deviation.
pub const ASSAY: (f64, f64) = (1.0, 0.03);
/// The most of an unlisted buffer that is nothing out of the way, in mol per kg of water: gums, extracts and
/// preservative blends bring as much, 0.03 to a kg of batch. Small amounts are the likelier.
pub const BUFFER: f64 = 0.04;
/// The pKa of an unlisted buffer: what lies further off hides itself.
pub const BUFFER_PKA: (f64, f64) = (3.0, 6.0);
/// The deviation of the chemistry from the truth, in pH: constants and temperature. `docs/ph.md` takes 0.1 for it as
/// a limit.
pub const CHEMISTRY: f64 = 0.06;
/// How this may change along the titration, in pH per pH.
pub const CHEMISTRY_DRIFT: f64 = 0.03;
/// Where between the two models of activity the truth lies, in differences of the two: middle and deviation.
pub const BETWEEN_MODELS: (f64, f64) = (0.5, 0.5);
/// A reading's least deviation, in pH: nothing reads better than this.
pub const LEAST_NOISE: f64 = 0.02;

/// A gross fault: how likely it is, and how far it goes from the least to the most.
#[derive(Clone, Copy, Debug)]
pub struct Gross {
    /// The share of batches that have it.
    pub share: f64,
    /// From here.
    pub from: f64,
    /// To here.
    pub to: f64,
}

/// A meter off by so many pH, either way: a clogged junction, a buffer gone stale, an electrode left dry.
pub const METER: Gross = Gross { share: 0.012, from: 0.4, to: 1.1 };
/// A base of half its strength, as one that stood open: a share of what is written on it.
pub const BASE_WEAK: Gross = Gross { share: 0.01, from: 0.35, to: 0.7 };
/// A base made up too strong. Rare: it takes a slip in the weighing.
pub const BASE_STRONG: Gross = Gross { share: 0.002, from: 1.35, to: 2.0 };
/// A weaker grade of an acid taken for a stronger one.
pub const ACID_WEAK: Gross = Gross { share: 0.01, from: 0.5, to: 0.8 };
/// The other way round.
pub const ACID_STRONG: Gross = Gross { share: 0.002, from: 1.25, to: 1.6 };
/// More of an unlisted buffer than anything listed as harmless brings, in mol per kg of water.
pub const UNLISTED: Gross = Gross { share: 0.01, from: 0.04, to: 0.12 };
/// Of the meters that are off, the share that a buffer does not show: off since, off in the product only, or the
/// buffer itself is bad.
pub const HIDDEN_FROM_BUFFERS: f64 = 0.2;

/// The most that an addition may be likely to take the reading past the far edge.
pub const RISK: f64 = 0.002;
/// The most that a way back may be likely to take the reading past the other edge: what went past once goes past again at
/// the cost of more of the adjuster, and not of the batch.
pub const BACK_RISK: f64 = 0.05;
/// The range of a way back leaves out this share on either side.
pub const BACK_TAIL: f64 = 0.05;
/// A reading is as good as surely above what all but this share of it lies above, and so below.
pub const SURELY: f64 = 0.005;
/// The first addition goes no more than this share of the way: an acid at two thirds, or a base sold as half of what it
/// is, then shows before it does harm.
pub const FIRST: f64 = 0.7;
/// The reading is kept this far from the edges by the mean, in pH, or by a quarter of a narrow window.
pub const MARGIN: f64 = 0.07;
/// The smallest addition that is worth the while, in grams, where the scale does finer.
pub const SMALLEST: f64 = 0.03;
/// An open window is aimed at so far from its edge, in pH.
pub const INTO_OPEN: f64 = 0.2;
/// By how much an addition has to better the chance of a true pH inside to be worth another reading.
pub const WORTH: f64 = 0.03;
/// The least share of the explanations without a gross fault that lets a batch stand.
pub const HONEST: f64 = 0.3;
/// The least share at which a gross fault is told of,
pub const TOLD: f64 = 0.5;
/// and at which it is told of beside a likelier one, where no honest explanation fits: a weak base and too much acid
/// read alike.
pub const TOLD_BESIDE: f64 = 0.1;
/// Readings fit where no residual of the best explanation is further off than this, in deviations.
pub const FITS: f64 = 4.5;

/// The true pH is assured where the chance that it lies in the window is at least this.
pub const ASSURED: f64 = 0.9;
/// By how much a buffer has to better that chance to be worth reading.
pub const WORTH_A_BUFFER: f64 = 0.03;

/// The share of readings that are written down wrong.
pub const SLIP: f64 = 0.004;
/// Of those, what two swapped digits are,
pub const SWAPPED: f64 = 0.3;
/// a wrong digit,
pub const WRONG_DIGIT: f64 = 0.3;
/// a digit too many,
pub const TOO_MANY: f64 = 0.1;
/// a decimal point one place off, either way,
pub const POINT_OFF: f64 = 0.1;
/// and any figure at all.
pub const ANY_FIGURE: f64 = 0.1;
/// A slip is looked for where less than this share of the explanations goes without a gross fault.
pub const LOOKED_INTO: f64 = 0.7;
