package app.sidelong.screens

/** The texts that were typed last under a name on this phone, newest first: what is typed once is touched from then on. */
class Lasts(private val settings: Settings) {
    operator fun get(name: String): List<String> = settings[PLACE + name]?.split('\n') ?: emptyList()

    fun used(name: String, text: String) {
        val line = text.trim().replace('\n', ' ')
        if (line.isNotEmpty()) settings[PLACE + name] = (listOf(line) + get(name)).distinct().take(MOST).joinToString("\n")
    }

    companion object {
        private const val PLACE = "last-"

        /** More would not be found faster than typed. */
        private const val MOST = 4
        const val MACHINE = "machine"
        const val PAD = "pad"
        const val POLISH = "polish"
        const val PRODUCT = "product"
        const val REASON = "reason"
    }
}
