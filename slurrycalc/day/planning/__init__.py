"""From the record to what a question about weeks and months takes: series, drift, what is due."""
