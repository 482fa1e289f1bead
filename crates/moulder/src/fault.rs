//! What is wrong with a document.
