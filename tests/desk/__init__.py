"""Tests of the page on this machine."""
