"""The physics: arrays in, arrays out; no files, text or plots."""
