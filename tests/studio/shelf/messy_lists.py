"""Invented lists as studios keep them: titles, gaps, two languages, marks and dates of four countries."""

FRENCH = """\
Atelier de la Fosse;;;;;;;;
Inventaire au 12/03/2026;;;;;;;;
;;;;;;;;
N°;Désignation;Qté;Unité;Conditionnement;Emplacement;Acheté le;Péremption;Fournisseur;Prix TTC;Couleur
1;Sulfate de cuivre cristaux bleus;2,5;kg;;Étagère du bas;12/01/2026;;Maison Gravel;34,95 €;bleu
2;Sulfate de cuivre;1;kg;;Étagère du bas;;;Maison Gravel;18,00 €;
3;Eau déminéralisée;3;bidons de 5 L;;Étagère du bas;;;;;
4;Vernis mou;250;mL;;Établi;31/01/2026;01/2027;Maison Gravel;12,50;
5;Vernis dur;1 tube;;;Établi;;;;;noir
6;Vernis à recouvrir;2 x 500 ml;;;Établi;;;Maison Gravel;9,-;
7;Ruban adhésif;4 rouleaux;;;Tiroir 2;;;;;
8;Papier gravure 300 g;1 250;feuilles;;Meuble à plans;;;Papeterie du Port;1 250,00 €;blanc
9;Gants nitrile M;3;boîtes;;Tiroir 1;;;;;
10;Acétone;1,5;L;;Armoire produits inflammables;05/02/2026;;;;
11;Essence de térébenthine;env. 750 ml;;;Armoire produits inflammables;;;;;
12;White spirit;5 L;;;Armoire produits inflammables;;;;;
13;Blanc de Meudon;1,2;kg;;Étagère du haut;;;;;
14;Cristaux de soude;2 sacs de 1 kg;;;Étagère du haut;;;;;
15;Bicarbonate de soude;500 gr;;;Étagère du haut;;;;;
16;Vinaigre blanc;3 bouteilles de 1 L;;;Étagère du haut;;;;;
17;Tarlatane;12,5;m;;Tiroir 3;;;;;
18;Plaques de cuivre 15x20 cm;6 plaques 15x20 cm;;;Meuble à plans;;;;;
19;Plaque de cuivre 30x40 cm;2;;30x40 cm;Meuble à plans;;;;;
20;Encre noire;3;boites;;Tiroir 4;;;;;
21;Encre bleue;2;tubes;;Tiroir 4;;;;;
22;Encre bistre;vide;;;Tiroir 4;;;;;
23;Papier buvard;50;feuilles;;Meuble à plans;;;;;
24;Filtres à café;100;;;Étagère du haut;;;;;
25;Lunettes;4;pièces;;Crochet;;;;;
;Sous-total;;;;;;;;;
ENCRES ET HUILES;;;;;;;;;;
26;Huile de lin;1,0;L;;Tiroir 4;;;;;
27;Huile de plaque;500 ml;;;Tiroir 4;;;;;
28;Colophane;2,000;kg;;Étagère du haut;;;;;
29;Cire d'abeille;0,5;kg;;Étagère du haut;;;;;
30;Bitume de Judée;-1;kg;;Étagère du haut;;;;;
31;Savon noir;1,000 L;;;Étagère du haut;;;;;
32;Papier de verre;20 feuilles;;;Tiroir 3;;;;;
33;Laine d'acier;1 sac 200 g;;;Tiroir 3;;;;;
34;Chiffons;3 kg;;;Étagère du bas;;;;;
35;Ruban adhésif;1 rouleau;;;Tiroir 2;;;;;
36;Alcool à brûler;2 bidons 5 L;;;Armoire produits inflammables;3 février 2026;;;;
37;Entonnoir;2;;;Crochet;;;;;
38;Pinceaux;12;;;Crochet;;;;;
39;Gomme laque;100 g;;;Établi;;;;;
40;Mousseline;5 m;;;Tiroir 3;;;;;
"""

GERMAN = """\
Bestand Werkstatt\tStand 1.3.26\t\t\t\t\t\t
Nr\tBezeichnung\tAnzahl\tGebinde\tLagerort\tgekauft\tMHD\tLieferant\tStückpreis\tBemerkung
1\tKupfersulfat-Pentahydrat\t2\t2,5 kg\tRegal A\t14.1.26\t\tChemie Vogt\t31,90\t
2\tKupfersulfat wasserfrei\t1\t1 kg\tRegal A\t14.1.26\t\tChemie Vogt\t44,00\tnur Notfall
3\tAceton\t1\t1 Liter\tGefahrstoffschrank\t\t\t\t\tSchrank, brennbar
4\tTerpentinersatz\t3\t1 Liter\tGefahrstoffschrank\t\t12.2027\t\t\t
5\tHartgrund\t1\t0,5\tWerkbank\t\t\t\t\t
6\tNitrilhandschuhe L\t2\tSchachteln\tSchublade\t\t\t\t\t
7\tDruckfarbe schwarz\t4\tDose 1 kg\tSchublade\t3. März 2026\t\tFarben Lotz\t1.250,00\t
8\tSchlämmkreide\t1\tSack 5 kg\tRegal B\t\t\t\t\t
9\tKlebeband\t6\tRollen\tSchublade\t\t\t\t\t
10\tKupferblech 1 mm\t3\t30x40 cm\tRegal B\t\t\tMetall Hain\t22,5\t
11\tSoda\t1.500\tg\tRegal B\t\t\t\t\t
Summe\t\t\t\t\t\t\t\t\t
"""

AMERICAN = """\
"Print shop inventory, spring",,,,,,,
Item,lb,oz,Location,Date,Expires,Vendor,Price
Copper sulfate pentahydrate,5,,Under the sink,3/14/2026,,Acme Chem,$34.95
Copper sulfate pentahydrate,2,8,Under the sink,3/14/2026,,Acme Chem,
"Rosin, lump",1,4,Shelf 2,,,,
Whiting,25 lb bag,,Shelf 2,11/2/2025,,Acme Chem,"$1,250.00"
Soda ash,5 lb bag,,Shelf 2,,,,
Mineral spirits,1 gal,,Flammables cabinet,,12/31/2027,,$18.5
Denatured alcohol,2 x 1 qt,,Flammables cabinet,,,,
Hard ground,8 fl oz jar,,Bench,,,,
Nitrile gloves,3 boxes,,Bench,,,,
Copper plate 6x9 in,4 sheets 6x9 in,,Flat file,,,,
Etching ink black,2 cans,,Shelf 1,,,,
Tarlatan,10 yd,,Shelf 1,,,,
Litter,"1,000 lb",,Shelf 1,,,,
"""

BRITISH = """\
Studio stock|||||||
What|How much|Where|Bought|Use by|From|Cost|Notes
Copper sulphate, blue|2.5kg tub|Rack|31/01/26|||£28|opened
Copper sulphate|500g|Rack||||£9.50|
Meths|2 litres|Solvent cupboard||02/28|Hardware shop|£7.20|
Turps|½ litre|Solvent cupboard|||||
Stop-out varnish|1 pt|Bench|||||
Parcel tape|5 rolls|Drawer|||||
Muslin|3 yards|Drawer|||||
Rag paper|25 sheets|Plan chest|||Paper mill|£62.00|
Rubber gloves|6 pairs|Drawer|||||
Vinegar|4 bottles of 500 ml|Rack|||||
Pumice|some|Rack|||||
"""

ALL = {
    "French, semicolons": (FRENCH, 3),
    "German, tabs": (GERMAN, 1),
    "American, commas": (AMERICAN, 1),
    "British, bars": (BRITISH, 2),
}
