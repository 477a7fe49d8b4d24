"""The letters of pages and papers, from their own packages so that they look alike on every machine."""

from pathlib import Path

import font_source_sans_pro
import font_source_serif_pro

FACES = [
    Path(font_source_sans_pro.font_files_ttf["SourceSansPro"]),
    Path(font_source_sans_pro.font_files_ttf["SourceSansProSemibold"]),
    Path(font_source_serif_pro.font_files_ttf["SourceSerifProSemibold"]),
]
