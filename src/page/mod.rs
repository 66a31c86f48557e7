//! Pages in one file, to print or to carry: sheet, label, cost, book; and the card, a picture.
