"""The pipeline of each job: files in, one frozen record of numbers out."""
