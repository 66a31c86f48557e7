//! Files written whole and under a lock: a statement of a record, an edit that is sure, a text that is saved.
