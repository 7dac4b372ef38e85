//! Plain words that head a column in several languages, folded to lower-case ASCII.
//! No source: words in common use. A header that fits none of them is listed as unmapped.

use super::field::Field;

/// Words and phrases for each field. A phrase is matched word by word.
#[rustfmt::skip]
pub(super) const WORDS: &[(Field, &[&str])] = &[
    (Field::Name, &[
        "name", "full name", "player", "player name", "athlete", "athlete name", "runner", "pupil", "pupil name",
        "student", "student name", "participant", "person", "nom", "nom complet", "nom et prenom", "nom prenom",
        "joueur", "joueuse", "eleve", "nombre", "nombre y apellidos", "nombre completo", "jugador", "jugadora",
        "alumno", "alumna", "spieler", "spielerin", "schueler", "schuler", "nome", "nome completo", "giocatore",
        "giocatrice", "jogador", "jogadora", "atleta", "naam", "speler", "leerling", "namn", "spelare", "navn",
        "spiller", "nimi", "called name",
    ]),
    (Field::GivenName, &[
        "first name", "firstname", "given name", "given names", "forename", "prenom", "vorname", "nombre de pila",
        "primeiro nome", "voornaam", "fornamn", "fornavn", "etunimi",
    ]),
    (Field::FamilyName, &[
        "last name", "lastname", "surname", "family name", "nom de famille", "nachname", "familienname",
        "apellido", "apellidos", "cognome", "sobrenome", "apelido", "achternaam", "efternamn", "etternavn",
        "efternavn", "sukunimi",
    ]),
    (Field::ExternalId, &[
        "id", "person id", "player id", "athlete id", "pupil id", "student id", "external id", "code",
        "registration", "registration number", "membership number", "member number", "identifiant", "matricule",
        "kennung", "spieler id",
    ]),
    (Field::Aliases, &["alias", "aliases", "other names", "also known as", "former name", "previous name"]),
    (Field::Bib, &["bib", "bib number", "bib no", "dossard", "startnummer", "dorsal", "pettorale", "no", "nr"]),
    (Field::BirthDate, &[
        "dob", "d o b", "date of birth", "birth date", "birthdate", "birthday", "born", "date de naissance", "ne le",
        "geburtsdatum", "geb datum", "geb", "geboren", "fecha de nacimiento", "fecha nac", "f nacimiento",
        "data di nascita", "data de nascimento", "geboortedatum", "fodelsedatum", "fodselsdato", "syntymaaika",
    ]),
    (Field::Age, &["age", "age years", "age at test", "alter", "edad", "eta", "idade", "leeftijd", "alder"]),
    (Field::Sex, &[
        "sex", "gender", "m f", "f m", "sexe", "geschlecht", "sexo", "sesso", "geslacht", "kon", "kjonn",
        "sukupuoli",
    ]),
    (Field::Squad, &[
        "squad", "team", "class", "group", "form", "year group", "age group", "club", "school grade", "grade",
        "equipe", "classe", "groupe", "mannschaft", "klasse", "gruppe", "equipo", "clase", "grupo", "curso",
        "squadra", "gruppo", "turma", "ploeg", "klas", "groep", "lag", "klass", "grupp",
    ]),
    (Field::Date, &[
        "date", "test date", "date of test", "testing date", "session date", "day", "datum", "testdatum", "fecha",
        "fecha del test", "data", "data del test", "data do teste", "date du test", "dato", "pvm",
    ]),
    (Field::Test, &["test", "test id", "test name", "protocol", "ladder", "protocole", "protokoll", "prueba", "prova"]),
    (Field::Label, &[
        "level", "lvl", "label", "level reached", "final level", "last level", "stop level", "stop label",
        "level shuttle", "level and shuttle", "level bout", "stage bout", "stage shuttle", "stage and bout",
        "last completed", "completed label", "palier", "palier atteint", "niveau", "stufe", "endstufe", "nivel",
        "nivel alcanzado", "livello", "niva", "trin", "taso",
    ]),
    (Field::Stage, &["stage", "stage number", "stage no", "level number", "level no"]),
    (Field::BoutInStage, &[
        "bout in stage", "shuttle in stage", "shuttle in level", "bout in level", "bout no", "bout number",
        "shuttle no", "shuttle number", "bout", "shuttle",
    ]),
    (Field::Bouts, &[
        "bouts", "completed bouts", "bouts completed", "number of bouts", "total bouts", "runs", "runs completed",
        "repetitions",
    ]),
    (Field::Shuttles, &[
        "shuttles", "laps", "total shuttles", "total laps", "shuttles completed", "laps completed",
        "number of shuttles", "number of laps", "navettes", "bahnen", "vueltas", "tours", "runden", "vasche",
        "lengths", "turns",
    ]),
    (Field::Distance, &[
        "distance", "dist", "total distance", "distance covered", "distance completed", "metres", "meters",
        "distanz", "strecke", "distancia", "distanza", "afstand", "stracka", "matka", "metros", "metri",
    ]),
    (Field::Time, &[
        "time", "total time", "elapsed", "elapsed time", "test time", "stop time", "running time", "run time",
        "duration", "temps", "duree", "zeit", "dauer", "laufzeit", "tiempo", "duracion", "tempo", "durata",
        "duracao", "tijd", "duur", "tid", "aika",
    ]),
    (Field::Speed, &[
        "speed", "final speed", "last speed", "peak speed", "end speed", "kmh", "vitesse", "vitesse finale",
        "geschwindigkeit", "endgeschwindigkeit", "velocidad", "velocidad final", "velocita", "velocidade",
        "snelheid", "hastighet", "hastighed", "nopeus", "velocity",
    ]),
    (Field::Result, &[
        "result", "score", "results", "performance", "resultat", "ergebnis", "resultado", "risultato", "uitslag",
        "tulos", "value",
    ]),
    (Field::Reason, &[
        "reason", "stop reason", "reason for stopping", "reason stopped", "why stopped", "stopped because",
        "raison", "motif", "motif d arret", "grund", "abbruchgrund", "motivo", "razon", "reden", "orsak",
        "arsag", "syy", "status",
    ]),
    (Field::Notes, &[
        "notes", "note", "comment", "comments", "remark", "remarks", "remarques", "commentaire", "commentaires",
        "bemerkung", "bemerkungen", "notas", "observaciones", "comentarios", "osservazioni", "observacoes",
        "opmerking", "opmerkingen", "anteckning", "merknad",
    ]),
    (Field::Attempt, &[
        "attempt", "trial", "attempt number", "attempt no", "trial number", "trial no", "try", "essai", "versuch",
        "intento", "tentativa", "tentativo", "poging", "forsok",
    ]),
    (Field::Assessor, &[
        "assessor", "recorder", "recorded by", "scorer", "judge", "observer", "tester", "examiner", "evaluateur",
        "juge", "pruefer", "prufer", "evaluador", "rater",
    ]),
    (Field::Wave, &["wave", "heat", "run group", "vague", "serie", "welle", "lauf", "tanda", "session"]),
    (Field::Lane, &["lane", "lane number", "couloir", "bahn", "calle", "corsia", "baan"]),
    (Field::Device, &["device", "phone", "tablet", "appareil", "geraet", "gerat", "dispositivo"]),
    (Field::Timestamp, &[
        "timestamp", "time stamp", "clock time", "stopped at", "recorded at", "time of day", "device time",
        "stop clock", "clock", "heure", "uhrzeit", "hora",
    ]),
    (Field::HeartRate, &[
        "hr", "hrmax", "hrpeak", "hrend", "hrrest", "maxhr", "peakhr", "max hr", "peak hr", "resting hr", "heart rate", "heartrate", "bpm", "pulse", "fc", "frequence cardiaque", "herzfrequenz", "hf", "puls",
        "frecuencia cardiaca", "frequenza cardiaca", "hartslag",
    ]),
    (Field::Cadence, &["cadence", "steps per minute", "step rate", "spm"]),
    (Field::PreviousDistance, &[
        "previous distance", "last distance", "earlier distance", "baseline distance", "distance before",
        "distance last time", "previous", "previous result", "last test", "last result", "previous test",
        "baseline", "distance precedente", "vorherige distanz", "distancia anterior",
    ]),
    (Field::PreviousLabel, &[
        "previous level", "previous label", "earlier level", "baseline level", "level last time",
        "niveau precedent", "nivel anterior",
    ]),
    (Field::Centile, &["centile", "percentile", "perc", "pctl", "perzentil", "percentil", "percentiel"]),
    (Field::Reference, &[
        "reference", "norm", "norms", "norm table", "reference table", "table", "referenz", "normen", "referencia",
    ]),
    (Field::Enrolled, &["enrolled", "enrolment", "enrollment", "on roll", "roll", "number enrolled", "inscrits"]),
    (Field::Tested, &["tested", "number tested", "n tested", "pupils tested", "testes"]),
    (Field::Exertion, &["rpe", "exertion", "perceived exertion", "effort"]),
    (Field::Meal, &["meal", "last meal", "hours since meal", "since last meal", "fasted hours"]),
    (Field::Motivation, &["motivation", "motivated", "willing"]),
    (Field::Illness, &["illness", "ill", "sick", "unwell", "krank", "malade", "enfermo"]),
    (Field::Familiarity, &["familiarity", "familiar", "run this test before", "done before"]),
    (Field::Sleep, &["sleep", "sleep hours", "hours slept", "slept", "sommeil", "schlaf", "sueno"]),
    (Field::Caffeine, &["caffeine", "coffee", "cafeine", "koffein", "cafeina"]),
    (Field::Shoes, &["shoes", "footwear", "boots", "chaussures", "schuhe", "zapatillas", "calzado"]),
    (Field::Surface, &["surface", "ground", "pitch", "terrain", "untergrund", "belag", "superficie"]),
    (Field::Temperature, &["temperature", "temp", "air temperature", "temperatur", "temperatura"]),
    (Field::Humidity, &["humidity", "humidite", "luftfeuchte", "luftfeuchtigkeit", "humedad", "umidita"]),
    (Field::Wind, &["wind", "wind speed", "vent", "viento", "vento"]),
    (Field::Encouragement, &["encouragement", "encouraged", "cheering"]),
    (Field::BodyMass, &["body mass", "mass", "weight", "poids", "gewicht", "peso"]),
    (Field::Height, &["height", "stature", "taille", "groesse", "altura", "lengte"]),
];
