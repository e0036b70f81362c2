call phasewright#ale#Define('formula')
