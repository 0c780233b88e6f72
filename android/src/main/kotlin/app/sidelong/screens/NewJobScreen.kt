package app.sidelong.screens

import sidelong.core.*

/**
 * A new job: plate, what else is known, then the body, which opens the job and begins the walk. The last record of the
 * same plate is offered and never assumed.
 */
class NewJobScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var alike: List<JobLine> = emptyList()
        private set
    val forms get() = BodyForm.entries.map { it to it.text(desk.language) }
    val finishes get() = Finish.entries.map { it to it.text(desk.language) }
    val scopes get() = Scope.entries.map { it to it.text(desk.language) }
    val plate get() = typed("plate") ?: ""
    val vin get() = typed("vin") ?: ""
    val colour get() = typed("colour") ?: ""
    val finish get() = Finish.entries.firstOrNull { it.name == typed("finish") }
    val scope: Set<Scope> get() = Scope.entries.filter { it.name in (typed("scope") ?: Scope.OUTSIDE.name).split(' ') }.toSet()

    /** The earlier job that the person says is of this very vehicle. */
    val earlier get() = typed("earlier")

    override fun look() {
        changed()
        val plate = plate
        if (plate.isBlank()) { alike = emptyList(); return changed() }
        desk.ask({ core -> core.alike(Identity(plate = plate, vin = null, stock = null), desk.language) }) {
            if (plate != this.plate) return@ask
            alike = it
            if (alike.none { job -> job.job == earlier }) page.typed.remove("earlier")
            changed()
        }
    }

    fun write(name: String, text: String) {
        page.typed[name] = text
        desk.keep()
        if (name == "plate") look()
    }

    fun finish(finish: Finish) = type("finish", if (this.finish == finish) null else finish.name)
    fun scope(scope: Scope) {
        val now = if (scope in this.scope) this.scope - scope else this.scope + scope
        type("scope", now.joinToString(" ") { it.name })
    }

    /** This is the same vehicle; again: it is not. */
    fun same(job: JobLine) = type("earlier", if (earlier == job.job) null else job.job)

    /** The body: opens the job, and the walk begins. */
    fun isForm(form: BodyForm) {
        val opened = OpenJob(
            form = form,
            finish = finish ?: Finish.UNKNOWN,
            scope = Scope.entries.filter { it in scope },
            plate = plate.trim().ifEmpty { null },
            vin = vin.trim().ifEmpty { null },
            colour = colour.trim().ifEmpty { null },
        )
        val earlier = earlier
        desk.ask({ core -> typed("job") ?: core.newId() }) { job ->
            page.typed["job"] = job
            desk.record(page, job, Act.OpenJob(opened)) {
                val walk = Page(Names.WALK, "job" to job)
                walk.typed[WalkScreen.BEGIN] = Stage.AS_FOUND.name
                earlier?.let { walk.about["earlier"] = it }
                desk.replace(walk)
            }
        }
    }
}
