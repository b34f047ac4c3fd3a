"""The only bridge from records to the engine: one boat, one catalogue, one job, as one case."""

from planner.loaders.build import Case, build_case, digest_of

__all__ = ["Case", "build_case", "digest_of"]
