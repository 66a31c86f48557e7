//! Files written whole and under a lock: a statement, a sure edit, a text that is saved; versions that are kept.

mod files;
mod folder;
mod history;
mod keeper;
mod lay_out;
mod locked_folder;
mod mend;
mod moment;
mod not_kept;
mod record;
mod save;
mod version;

pub use files::{stills_under, within_here};
pub use folder::{FolderWritten, MadeFile, write_folder};
pub use history::{Begun, add_to_history, begin_history, known_name};
pub use keeper::{Keeper, Patience, Teller};
pub use lay_out::{LaidOut, lay_out};
pub use locked_folder::{FileTarget, LockedFolder, new_file, part_of, with_locked_folder};
pub use mend::{Edits, mend};
pub use moment::Moment;
pub use not_kept::{Against, NotKept};
pub use record::{
    Begin, Draft, Frozen, NewEntry, OffPlan, Recorded, Unfrozen, Written, batches, home_of, pick, plan_for, unopened,
    write_down,
};
pub use save::save;
pub use version::FileVersion;
