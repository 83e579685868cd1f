"""Scores of BM25 by an outside library, for the tests of the search index.

pip install bm25s==0.2.14 numpy; python3 tests/reference/bm25.py > tests/reference/bm25.json

The library's method "lucene" has the inverse document frequency ln(1 + (N - n + 0.5) / (n + 0.5)) and no factor
k1 + 1. Documents are random words of a small vocabulary, so that frequencies, lengths and rarities all vary.
"""
import json
import random
import sys

import bm25s
import numpy

rng = random.Random(20260205)
cases = []
for documents, vocabulary, k1, b in [(7, 5, 1.2, 0.75), (40, 30, 1.2, 0.3), (120, 60, 2.0, 1.0), (60, 25, 0.9, 0.0)]:
    words = [f"w{at}" for at in range(vocabulary)]
    weights = [1.0 / (at + 1) for at in range(vocabulary)]
    corpus = [rng.choices(words, weights, k=rng.randint(1, 30)) for _ in range(documents)]
    present = sorted({word for document in corpus for word in document})
    queries = [rng.sample(present, min(len(present), rng.randint(1, 5))) for _ in range(12)]
    retriever = bm25s.BM25(method="lucene", k1=k1, b=b, dtype="float64")
    retriever.index(corpus, show_progress=False)
    scores = [numpy.asarray(retriever.get_scores(query), dtype=float).tolist() for query in queries]
    cases.append({"k1": k1, "b": b, "documents": corpus, "queries": queries, "scores": scores})
json.dump({"source": f"bm25s {bm25s.__version__}, method lucene, float64", "cases": cases}, sys.stdout)
print()
