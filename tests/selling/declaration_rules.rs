//! Rules of labels, one by one at their edges. The numbers are those of the project's list of them.
