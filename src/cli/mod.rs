//! The command line, thin on top of the library.
