call phasewright#ale#Define('batch')
