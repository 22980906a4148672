package answer

// citations are the sources that answers name, by their id in calc/SOURCES.md,
// short enough for one line of a chat. A test holds them against that file.
var citations = map[string]string{
	"S-603": "Carey and Lewis 1932",
	"S-604": "Perry's Handbook, section 13",
	"S-606": "OIML R 22",
	"S-607": "USDA Retention Factors, Release 6",
	"S-611": "robust regression with a random walk",
	"S-612": "Browne 1912",
	"S-614": "public table of cooked sugar",
	"S-615": "McGee 2004",
	"S-616": "ISO 2533",
	"S-617": "CRC Handbook 102",
	"S-619": "Mohos 2010, table A2.1",
	"S-620": "Handbook of Food Preparation",
	"S-622": "Mohos 2010, table A2.3",
	"S-623": "NBS Circular C440",
	"S-624": "Sugar Technology 1998",
	"S-625": "Mohos 2010, table A2.2",
	"S-630": "leaf grades of the trade",
	"S-631": "Gelatin Handbook",
	"S-632": "review article, table 6",
	"S-633": "a supplier's comparison of hydrocolloids 2018",
	"S-634": "a supplier's table of hydrocolloids",
	"S-635": "public page on pectin",
	"S-636": "a supplier's page on gellan",
	"S-637": "public pages on methylcellulose",
	"S-638": "Ferrero 1993",
	"S-639": "culinary-school textbook",
	"S-640": "a gelatine maker's page",
	"S-641": "public pages on agar",
	"S-642": "a supplier's introduction to pectin",
	"S-643": "a supplier's overview of gellan",
	"S-644": "Waterschoot 2015",
	"S-645": "home-economics pages",
	"S-646": "public text on gelatine desserts",
	"S-647": "public page on gelatine",
	"S-648": "public page on gelatine",
	"S-649": "public pages on chargers",
	"S-650": "Greweling 2007",
	"S-651": "a cookbook's tempering guide",
	"S-652": "a mould shop's page",
	"S-653": "a chocolate school's page",
	"S-654": "public note on tempering",
	"S-802": "Plank's equation",
	"S-804": "Pham 1986, from memory",
	"S-806": "our own limits",
	"S-807": "Cleland et al. 1987, from memory",
	"S-808": "Çengel, Heat and Mass Transfer, ch. 4",
	"S-813": "Stumbo 1973",
	"S-656": "USDA FSIS Inspectors' Calculations 1995",
}

// Citation is the source of an id in words.
func Citation(id string) string { return citation(id) }

// citation is the source of an id in words.
func citation(id string) string {
	if c, ok := citations[id]; ok {
		return c
	}
	return id
}
