package main

// version is set when a release is built.
var version = "0.1.0"
