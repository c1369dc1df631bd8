"""A small house as CSV files, for tests to bend."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path

from rounds.husbandry.readings import Choice, ReadingKind, Vocabulary

VOCABULARY = Vocabulary(
    kinds={
        "eaten": ReadingKind("eaten", "eaten", "count", low=0, high=9),
        "heat": ReadingKind("heat", "heat", "count", subject="shelf", low=0, high=45, decimals=1, unit="°C"),
        "damp": ReadingKind(
            "damp",
            "damp",
            "choice",
            choices=tuple(Choice(i, i, str(n)) for n, i in enumerate(("dry", "right", "wet"), 1)),
        ),
        "shut": ReadingKind("shut", "shut", "tick"),
    },
    stages={},
    skips=(Choice("leave", "must not be disturbed", "1"), Choice("time", "no time", "2")),
)

HOUSE = {
    "house": "name,zone,day_starts,order\nTarn Lantern,Europe/Berlin,04:00,serpentine\n",
    "keepers": "keeper\nFerrow\nTamsel\n",
    "places": "bay,shelf,slot\nA,1,1\nA,1,2\nB,3,2\n",
    "lines": "line,species,origin,generation,note\n"
    "UMBER,Mecynorhina torquata,,WF1,\nLOCH,Dicronorhina derbyana,Moss Gate,F2,\n",
    "animals": "line,animal,sex,sexed_how,sire,dam,born,emerged,state\n"
    "UMBER,1,m,adult,,,,about 2025-11-03,alive\n"
    "UMBER,2,f,adult,,,,spring 2025,alive\n"
    "UMBER,007,unknown,,UMBER/1,UMBER/2,between 2026-01-02 and 2026-01-20,,alive\n"
    "LOCH,1,f,,,,,,dead\n",
    "enclosures": "code,number,stage,stage_since,place,order,species,litres,note\n"
    "TL-001,1,pairing,2026-02-01,A1-1,,Mecynorhina torquata,6,\n"
    "TL-002,2,larvae,January 2026,A1-2,,Mecynorhina torquata,0.2,\n"
    "TL-003,3,larvae,,A1-2,,Dicronorhina derbyana,12,the wide one\n",
    "contents": "enclosure,line,animal,males,females,unsexed,at_least,instar,since\n"
    "TL-001,UMBER,1,,,,,,2026-02-01\nTL-001,UMBER,2,,,,,,2026-02-01\n"
    "TL-002,UMBER,007,,,,,L1,\nTL-003,LOCH,,0,0,9,yes,L2,\n",
    "locks": "enclosure,animal,forbids,from,until,reason\n"
    "TL-003,,open dig,2026-02-01,before 2026-03-01,moulting\n,UMBER/2,move,2026-02-03,,resting\n",
    "due": "enclosure,what,earliest,likely,latest,why\nTL-003,change substrate,2026-02-20,2026-02-25,2026-03-05,six weeks\n",
    "visits": "visit,at,keeper,enclosure,seq,skipped,note\n"
    "v1,2026-02-26T07:31,Ferrow,TL-001,1,,\n"
    'v2,2026-02-26T07:32,Ferrow,TL-002,2,,"quiet, again"\n'
    "v3,2026-02-26T07:33,Ferrow,TL-003,3,leave,\n"
    "v4,2026-02-27T07:31,Tamsel,TL-001,,,\n",
    "readings": "visit,reading,depth,value,how\n"
    "v1,heat,wall,24.5,read\nv1,eaten,lid,3,read\nv1,damp,lid,wet,expected\nv1,shut,wall,yes,expected\n"
    "v2,damp,wall,right,read\nv4,eaten,lid,1..3,expected\nv4,damp,lid,dry,read\n",
}


def write(folder: Path, tables: Mapping[str, str | bytes]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in tables.items():
        (folder / f"{name}.csv").write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def csv_text(header: list[str], rows: list[list[str]]) -> str:
    out = io.StringIO()
    # Everything quoted: with short line ends the csv module leaves a lone \\r in a cell bare.
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
